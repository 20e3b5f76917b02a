"""Rules of the records: each is about something; and the states that follow from them."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from pydantic import TypeAdapter

from recipe_track.recipe import rules, states
from recipe_track.recipe.craft import Hull
from recipe_track.recipe.records import Record
from recipe_track.recipe.snapshot import Snapshot
from tests.recipes import WORKED, read_recipe

RECORD: TypeAdapter[Any] = TypeAdapter(Record)
BASE = {"by": "Ada Quay <ada@quay.example>", "on": date(2026, 3, 1)}
TRIAL = {"kind": "trial", "hull": "014", "zone": "deck/side", "text": "moves", "observation": "too-flexible",
         "severity": 4}  # fmt: skip
CHANGE = {"kind": "change", "model": "demo", "title": "Stiffen", "reason": "too flexible", "category": "layup",
          "trials": ["T-000001"]}  # fmt: skip
APPROVED = {"kind": "decision", "about": "C-000001", "decision": "approved"}
DEVIATION = {
    "kind": "deviation",
    "type": "nonconformity",
    "hull": "014",
    "zone": "deck/side",
    "text": "short",
}


def record(day: int = 1, **keys: Any) -> Any:
    return RECORD.validate_python({**BASE, "on": date(2026, 3, day), **keys})


@pytest.fixture
def yard() -> Snapshot:
    hull = {"model": "demo", "status": "in-build", "part": [
        {"part": "deck", "revision": "r1", "commit": "0" * 40, "state": "planned", "on": date(2026, 3, 1)}
    ]}  # fmt: skip
    return replace(read_recipe(WORKED), hulls={"014": Hull.model_validate(hull)})


def holding(yard: Snapshot, **records: Any) -> Snapshot:
    return replace(yard, records={name.replace("_", "-"): r for name, r in records.items()})


def keys(snapshot: Snapshot) -> set[tuple[str | int, ...]]:
    return {fault.key for fault in rules.check(snapshot)}


def test_consistent_records_have_no_fault(yard: Snapshot) -> None:
    whole = holding(yard, T_000001=record(**TRIAL), C_000001=record(**CHANGE), D_000001=record(**APPROVED))
    assert keys(whole) == set()


@pytest.mark.parametrize(
    ("values", "key"),
    [
        ({**TRIAL, "hull": "015"}, ("hull",)),
        ({**TRIAL, "zone": "deck/sid"}, ("zone",)),
        ({**CHANGE, "model": "dem", "trials": []}, ("model",)),
        (CHANGE, ("trials", 0)),
        (APPROVED, ("about",)),
        ({**DEVIATION, "hull": "015"}, ("hull",)),
        ({**DEVIATION, "layers": [{"line": 1, "material": "biax", "action": "left-out"}]}, ("layers", 0, "material")),
        ({**DEVIATION, "layers": [{"line": 1, "material": "wr-600", "action": "substituted"}]}, ("layers", 0, "action")),
        ({"kind": "verification", "about": "C-00000Z", "hull": "014", "outcome": "confirmed"}, ("about",)),
        ({"kind": "weighing", "hull": "014", "part": "hull", "mass_kg": 9.0, "state": "trimmed"}, ("part",)),
        ({"kind": "weighing", "hull": "014", "part": "deck", "mass_kg": 9.0, "state": "trimmed", "tare_kg": 10.0},
         ("tare_kg",)),
        ({**TRIAL, "replaces": "T-00000Z"}, ("replaces",)),
    ],
)  # fmt: skip
def test_a_record_is_about_something(yard: Snapshot, values: dict[str, Any], key: tuple[Any, ...]) -> None:
    assert keys(holding(yard, X_000001=record(**values))) == {key}


def test_a_decision_fits_what_it_is_about(yard: Snapshot) -> None:
    wrong = record(kind="decision", about="T-000001", decision="approved")
    assert keys(holding(yard, T_000001=record(**TRIAL), D_000001=wrong)) == {("decision",)}


def test_zone_names_of_the_past_are_known(yard: Snapshot) -> None:
    old = replace(yard, past_zones={"demo": frozenset({"deck/gone"})})
    assert keys(holding(old, T_000001=record(**{**TRIAL, "zone": "deck/gone"}))) == set()


def test_an_observation_is_open_then_contained_then_answered(yard: Snapshot) -> None:
    records = {"T-000001": record(**TRIAL)}
    assert states.trial_state(records, "T-000001") == "open"
    records["D-000001"] = record(2, kind="decision", about="T-000001", decision="contained")
    assert states.trial_state(records, "T-000001") == "contained"
    records["C-000001"] = record(3, **CHANGE)
    assert states.trial_state(records, "T-000001") == "contained"
    records["D-000002"] = record(4, **APPROVED)
    assert states.trial_state(records, "T-000001") == "answered"


def test_a_severe_open_observation_holds_its_zone_until_contained(yard: Snapshot) -> None:
    held = holding(yard, T_000001=record(**TRIAL))
    assert [h.record for h in states.holds_by_zone(held, "demo")["deck/side"]] == ["T-000001"]
    mild = holding(yard, T_000001=record(**{**TRIAL, "severity": 3}))
    assert states.holds(mild) == []
    contained = record(2, kind="decision", about="T-000001", decision="contained")
    assert states.holds(holding(yard, T_000001=record(**TRIAL), D_000001=contained)) == []


def test_a_zone_on_hold_that_was_split_is_on_hold_in_all_its_pieces(yard: Snapshot) -> None:
    tree = yard.models["demo"]
    side = tree.parts["deck"].zones["side"]
    piece = side.model_copy(update={"formerly": ("deck/side",)})
    deck = replace(tree.parts["deck"], zones={"fore": piece, "aft": piece})
    split = replace(yard, models={"demo": replace(tree, parts={"deck": deck})})
    held = holding(split, T_000001=record(**TRIAL))
    assert set(states.holds_by_zone(held, "demo")) == {"deck/fore", "deck/aft"}


def test_a_deviation_holds_its_zone_until_decided(yard: Snapshot) -> None:
    assert len(states.holds(holding(yard, N_000001=record(**DEVIATION)))) == 1
    decided = record(2, kind="decision", about="N-000001", decision="accepted")
    whole = holding(yard, N_000001=record(**DEVIATION), D_000001=decided)
    assert states.holds(whole) == []
    assert states.deviation_state(whole.records, "N-000001") == "accepted"


def test_a_change_goes_from_proposed_to_confirmed(yard: Snapshot) -> None:
    records = {"C-000001": record(**CHANGE)}
    assert states.change_state(records, "C-000001") == "proposed"
    records["D-000001"] = record(2, **APPROVED)
    assert states.change_state(records, "C-000001") == "approved"
    assert states.change_state(records, "C-000001", ["C-000001"]) == "released"
    verified = {"kind": "verification", "about": "C-000001", "hull": "014"}
    records["V-000001"] = record(3, **verified, outcome="not-confirmed")
    assert states.change_state(records, "C-000001", ["C-000001"]) == "not confirmed"
    records["V-000002"] = record(4, **verified, outcome="confirmed")
    assert states.change_state(records, "C-000001") == "confirmed"


def test_a_corrected_record_no_longer_speaks(yard: Snapshot) -> None:
    records = {
        "T-000001": record(**TRIAL),
        "T-000002": record(2, **{**TRIAL, "severity": 1}, replaces="T-000001"),
    }
    assert list(states.in_force(records)) == ["T-000002"]
    assert states.holds(replace(yard, records=records)) == []
