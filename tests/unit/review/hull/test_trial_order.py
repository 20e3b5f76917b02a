"""The order in which observations are listed."""

from datetime import date

from recipe_track.recipe.craft import Settings
from recipe_track.recipe.records import Trial
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.trail import Records
from recipe_track.review.hull.overview import trial_rows


def trial(day: int, severity: int, zone: str = "deck/side", observation: str = "crack") -> Trial:
    return Trial.model_validate(
        {
            "kind": "trial", "by": "Ada Quay <ada@quay.example>", "on": date(2026, 1, day), "hull": "001",
            "zone": zone, "text": "t", "observation": observation, "severity": severity,
        }
    )  # fmt: skip


def test_of_one_severity_what_was_seen_most_comes_first_then_the_oldest_then_by_id() -> None:
    records = {
        "T-AAAAAA": trial(9, 3),
        "T-DDDDDD": trial(5, 3),
        "T-CCCCCC": trial(5, 3),
        "T-FFFFFF": trial(2, 3, zone="deck/coaming"),
        "T-EEEEEE": trial(1, 3, observation="noise"),
        "T-ZZZZZZ": trial(10, 4, observation="blister"),
    }
    rows = trial_rows(Snapshot(Settings(format=1), records=Records(records)))
    assert [(row.id, row.seen) for row in rows] == [
        ("T-ZZZZZZ", 1), ("T-CCCCCC", 3), ("T-DDDDDD", 3), ("T-AAAAAA", 3), ("T-EEEEEE", 1), ("T-FFFFFF", 1),
    ]  # fmt: skip
