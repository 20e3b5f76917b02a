"""What follows from the records, in the order it is shown."""

from dataclasses import replace
from datetime import date
from typing import Any

from pydantic import TypeAdapter

from recipe_track.recipe.craft import Hull
from recipe_track.recipe.records import Record
from recipe_track.recipe.states import (
    change_state,
    deviation_state,
    holds_by_zone,
    open_trials,
)
from recipe_track.recipe.trail import Records
from tests.recipes import WORKED, read_recipe

_RECORD: TypeAdapter[Record] = TypeAdapter(Record)
BY = "Ada Quay <ada@quay.example>"


def record(day: int, **keys: Any) -> Record:
    return _RECORD.validate_python({"by": BY, "on": date(2026, 1, day), **keys})


def trial(day: int, severity: int, **keys: Any) -> Record:
    given = {"hull": "001", "zone": "deck/side", "text": "t", "observation": "crack", "severity": severity}
    return record(day, kind="trial", **{**given, **keys})


def test_observations_stand_worst_first_then_oldest_then_by_id() -> None:
    records = {
        "T-AAAAAA": trial(9, 3),
        "T-DDDDDD": trial(5, 3, text="another"),
        "T-CCCCCC": trial(5, 3),
        "T-BBBBBB": trial(7, 3),
        "T-ZZZZZZ": trial(9, 5),
    }
    worst_first = ["T-ZZZZZZ", "T-CCCCCC", "T-DDDDDD", "T-BBBBBB", "T-AAAAAA"]
    assert [trial_id for trial_id, _ in open_trials(Records(records))] == worst_first


def test_what_is_answered_is_no_longer_open_and_what_is_contained_still_is() -> None:
    records = {"T-AAAAAA": trial(1, 3), "T-BBBBBB": trial(1, 3), "T-CCCCCC": trial(1, 3)}
    records["D-AAAAAA"] = record(2, kind="decision", about="T-AAAAAA", decision="contained")
    records["D-BBBBBB"] = record(2, kind="decision", about="T-BBBBBB", decision="no-action")
    assert [trial_id for trial_id, _ in open_trials(Records(records))] == ["T-AAAAAA", "T-CCCCCC"]


def test_the_last_decision_says_what_became_of_a_deviation() -> None:
    reported = {"kind": "deviation", "type": "nonconformity", "hull": "001", "zone": "deck/side", "text": "t"}
    records = {"N-AAAAAA": record(1, **reported)}
    assert deviation_state(Records(records), "N-AAAAAA") == "reported"
    refused = record(2, kind="decision", about="N-AAAAAA", decision="refused")
    assert deviation_state(Records({**records, "D-AAAAAA": refused}), "N-AAAAAA") == "refused"
    accepted = record(3, kind="decision", about="N-AAAAAA", decision="accepted")
    both = {**records, "D-BBBBBB": refused, "D-AAAAAA": accepted}
    assert deviation_state(Records(both), "N-AAAAAA") == "accepted"


def test_of_verifications_of_one_day_the_doubt_counts() -> None:
    verified = {"kind": "verification", "about": "C-AAAAAA", "hull": "001"}
    records = {
        "V-AAAAAA": record(2, **verified, outcome="not-confirmed"),
        "V-BBBBBB": record(2, **verified, outcome="confirmed"),
        "V-CCCCCC": record(1, **verified, outcome="confirmed"),
    }
    assert [i for i, _ in Records(records).verifications_of("C-AAAAAA")] == [
        "V-CCCCCC",
        "V-BBBBBB",
        "V-AAAAAA",
    ]
    assert change_state(Records(records), "C-AAAAAA") == "not confirmed"


def test_a_hold_goes_with_its_zone_to_the_name_of_today_and_stays_with_its_model() -> None:
    recipe = read_recipe(WORKED)
    tree = recipe.models["demo"]
    deck = tree.parts["deck"]
    side = deck.zones["side"].model_copy(update={"formerly": ("deck/edge",)})
    parts = {"deck": replace(deck, zones={**deck.zones, "side": side})}
    hulls = {
        n: Hull.model_validate({"model": model, "status": "in-build"})
        for n, model in (("001", "demo"), ("002", "other"))
    }
    records = {
        "T-AAAAAA": trial(1, 4, zone="deck/edge"),
        "T-BBBBBB": trial(1, 5, zone="deck/side"),
        "T-CCCCCC": trial(1, 5, zone="deck/gone"),
        "T-DDDDDD": trial(1, 5, hull="002"),
        "T-EEEEEE": trial(1, 5, hull="009"),
        "T-FFFFFF": trial(1, 3),
    }
    models = {"demo": replace(tree, parts=parts)}
    snapshot = replace(recipe, models=models, hulls=hulls, records=Records(records))
    found = {zone: [hold.record for hold in held] for zone, held in holds_by_zone(snapshot, "demo").items()}
    assert found == {"deck/side": ["T-AAAAAA", "T-BBBBBB"], "deck/gone": ["T-CCCCCC"]}
    assert [hold.record for hold in holds_by_zone(snapshot, "other")["deck/side"]] == ["T-DDDDDD"]
    (reason,) = {hold.reason for hold in holds_by_zone(snapshot, "demo")["deck/gone"]}
    assert reason == "severity 5 observation on hull 001, open"
