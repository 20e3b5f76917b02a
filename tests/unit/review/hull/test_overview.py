"""Observations by the names of today: renamed zones, zones that were split."""

from dataclasses import replace

from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.hull.overview import hull_rows, trial_rows
from tests.unit.recipe.yard import DEVIATION, TRIAL, holding, record, yard


def split() -> Snapshot:
    """The side deck that was observed is two zones now."""
    made = holding(yard(), T_000001=record(**TRIAL), N_000001=record(**DEVIATION))
    tree = made.models["demo"]
    deck = tree.parts["deck"]
    piece = deck.zones["side"].model_copy(update={"formerly": ("deck/side",)})
    pieces = replace(deck, zones={"coaming": deck.zones["coaming"], "fore": piece, "aft": piece})
    return replace(made, models={"demo": replace(tree, parts={"deck": pieces})})


def test_an_observation_is_listed_under_its_own_name_and_that_of_every_piece() -> None:
    for zone in ("deck/side", "deck/fore", "deck/aft"):
        assert [(row.id, row.zone_now) for row in trial_rows(split(), zone=zone)] == [
            ("T-000001", "deck/aft")
        ]
    assert trial_rows(split(), zone="deck/coaming") == ()


def test_a_hull_counts_what_was_seen_on_it() -> None:
    (row,) = hull_rows(split())
    assert (row.number, row.observations, row.open_observations, row.deviations) == ("014", 1, 1, 1)
    assert set(row.holds) == {"T-000001", "N-000001"}
