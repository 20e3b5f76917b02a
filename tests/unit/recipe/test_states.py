"""The states that follow from the records."""

from dataclasses import replace

from recipe_track.recipe import states
from recipe_track.recipe.records import Trial
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.trail import Records
from tests.unit.recipe.yard import APPROVED, CHANGE, DEVIATION, TRIAL, holding, record


def test_an_observation_is_open_then_contained_then_answered(yard: Snapshot) -> None:
    records = {"T-000001": record(**TRIAL)}
    assert states.trial_state(Records(records), "T-000001") == "open"
    records["D-000001"] = record(2, kind="decision", about="T-000001", decision="contained")
    assert states.trial_state(Records(records), "T-000001") == "contained"
    records["C-000001"] = record(3, **CHANGE)
    assert states.trial_state(Records(records), "T-000001") == "contained"
    records["D-000002"] = record(4, **APPROVED)
    assert states.trial_state(Records(records), "T-000001") == "answered"


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
    assert states.change_state(Records(records), "C-000001") == "proposed"
    records["D-000001"] = record(2, **APPROVED)
    assert states.change_state(Records(records), "C-000001") == "approved"
    assert states.change_state(Records(records), "C-000001", ["C-000001"]) == "released"
    verified = {"kind": "verification", "about": "C-000001", "hull": "014"}
    records["V-000001"] = record(3, **verified, outcome="not-confirmed")
    assert states.change_state(Records(records), "C-000001", ["C-000001"]) == "not confirmed"
    records["V-000002"] = record(4, **verified, outcome="confirmed")
    assert states.change_state(Records(records), "C-000001") == "confirmed"


def test_a_corrected_record_no_longer_speaks(yard: Snapshot) -> None:
    records = Records({
        "T-000001": record(**TRIAL),
        "T-000002": record(2, **{**TRIAL, "severity": 1}, replaces="T-000001"),
    })  # fmt: skip
    assert list(records.in_force) == ["T-000002"]
    assert list(records.all_of(Trial)) == ["T-000001", "T-000002"]
    assert records.replaced_by == {"T-000001": ["T-000002"]}
    assert states.holds(replace(yard, records=records)) == []
