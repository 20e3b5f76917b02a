"""Records together: what is in force, of one kind, on one hull, and about a record."""

from typing import Any

from recipe_track.recipe.ledger import Records
from recipe_track.recipe.records import Decision, Deviation, Trial, Weighing
from tests.unit.recipe.yard import ACTION, APPROVED, CHANGE, DEVIATION, STEP, TRIAL, record

VERIFIED = {"kind": "verification", "about": "C-000001", "hull": "014"}


def test_records_are_those_that_were_given_whatever_becomes_of_the_mapping() -> None:
    given = {"T-000001": record(**TRIAL)}
    records = Records(given)
    given.clear()
    assert records == {"T-000001": record(**TRIAL)}
    more = records.joined({"C-000001": record(**CHANGE)})
    assert (list(records), list(more)) == (["T-000001"], ["T-000001", "C-000001"])


def test_of_one_kind_the_oldest_come_first_and_of_one_day_they_go_by_id() -> None:
    records = Records({"T-C": record(2, **TRIAL), "T-B": record(2, **TRIAL), "T-A": record(3, **TRIAL)})
    assert [name for name, _ in records.of_kind(Trial)] == ["T-B", "T-C", "T-A"]
    assert list(records.of_kind(Decision)) == []


def test_records_of_a_hull() -> None:
    records = Records({
        "T-A": record(2, **TRIAL), "T-B": record(1, **TRIAL), "T-C": record(**{**TRIAL, "hull": "015"}),
        "N-000001": record(**DEVIATION), "N-B": record(2, **DEVIATION, replaces="N-000001"),
    })  # fmt: skip
    assert [name for name, _ in records.on_hull(Trial, "014")] == ["T-B", "T-A"]
    assert [name for name, _ in records.on_hull(Deviation, "014")] == ["N-B"]
    assert list(records.on_hull(Weighing, "014")) == []


def test_the_last_decision_counts() -> None:
    rejected = {**APPROVED, "decision": "rejected"}
    records = Records(
        {"C-000001": record(**CHANGE), "D-B": record(2, **rejected), "D-A": record(3, **APPROVED)}
    )
    assert [name for name, _ in records.decisions_about("C-000001")] == ["D-B", "D-A"]
    assert records.last_decision("C-000001") == "approved"
    assert records.last_decision("C-000002") is None
    assert list(records.approved_changes) == ["C-000001"]
    assert not records.joined({"D-C": record(4, **rejected)}).approved_changes


def test_of_one_day_the_doubt_comes_last() -> None:
    records = Records({
        "V-A": record(2, **VERIFIED, outcome="not-confirmed"), "V-B": record(2, **VERIFIED, outcome="confirmed"),
        "V-C": record(1, **VERIFIED, outcome="not-confirmed"),
    })  # fmt: skip
    assert [name for name, _ in records.verifications_of("C-000001")] == ["V-C", "V-B", "V-A"]


def test_an_observation_is_answered_by_approved_changes_and_by_decisions_that_close_it() -> None:
    closed = {"kind": "decision", "about": "T-000001"}
    listed_twice = {**CHANGE, "trials": ["T-000001", "T-000001"]}
    records = Records({
        "C-000001": record(**listed_twice), "C-000002": record(**CHANGE), "D-A": record(**APPROVED),
        "D-B": record(**closed, decision="contained"), "D-C": record(**closed, decision="left-as-is"),
    })  # fmt: skip
    assert list(records.changes_answering("T-000001")) == ["C-000001"]
    assert list(records.answers_of("T-000001")) == ["C-000001", "D-C"]


def later(after: str, state: str, **values: Any) -> Any:
    return record(2, kind="step", hull="014", part="deck", state=state, after=after, **values)


def test_a_void_record_is_there_to_be_read_and_has_no_effect() -> None:
    records = Records({"C-000001": record(**CHANGE), "D-000001": record(2, **APPROVED)})
    void = records.without_effect(["D-000001"])
    assert "D-000001" in void
    assert (records.last_decision("C-000001"), void.last_decision("C-000001")) == ("approved", None)
    assert void.joined({"T-000001": record(**TRIAL)}).void == {"D-000001"}


def test_a_void_correction_leaves_the_record_in_force() -> None:
    milder = record(2, **{**TRIAL, "severity": 1}, replaces="T-000001")
    records = Records({"T-000001": record(**TRIAL), "T-000002": milder}, void=["T-000002"])
    assert list(records.in_force) == ["T-000001"]


def test_records_and_steps_of_a_renumbered_hull_are_those_under_both_numbers() -> None:
    given = {
        "T-AAAAAA": record(1, **TRIAL), "T-BBBBBB": record(2, **{**TRIAL, "hull": "015"}), "H-AAAAAA": record(**STEP),
        "H-BBBBBB": record(2, **{**STEP, "hull": "015", "state": "in-mould"}, after="H-AAAAAA"),
    }  # fmt: skip
    records = Records(given, {"014": "015"})
    for number in ("014", "015"):
        assert [name for name, _ in records.on_hull(Trial, number)] == ["T-AAAAAA", "T-BBBBBB"]
        assert [name for name, _ in records.steps_of(number, "deck")] == ["H-AAAAAA", "H-BBBBBB"]
        state = records.hull_state(number)
        assert (state.number, [part.state for part in state.parts]) == ("015", ["in-mould"])


def test_numbers_that_lead_in_a_ring_end() -> None:
    assert Records({}, {"014": "015", "015": "014"}).number_of("014") in ("014", "015")


def test_a_hull_without_steps_is_planned() -> None:
    assert (Records().hull_state("014").state, Records().hull_state("014").parts) == ("planned", ())


def test_a_corrected_step_keeps_its_place_before_those_that_came_after_it() -> None:
    records = Records({
        "H-AAAAAA": record(1, **STEP), "H-BBBBBB": later("H-AAAAAA", "kit-cut"), "H-CCCCCC": later("H-BBBBBB", "demoulded"),
        "H-DDDDDD": record(9, kind="step", hull="014", part="deck", state="in-mould", after="H-AAAAAA", replaces="H-BBBBBB"),
    })  # fmt: skip
    assert [name for name, _ in records.steps_of("014", "deck")] == ["H-AAAAAA", "H-DDDDDD", "H-CCCCCC"]
    assert records.corrected("H-BBBBBB") == "H-DDDDDD"
    assert not records.hull_state("014").disagreements


def test_corrections_in_a_ring_end() -> None:
    ring = {
        "T-AAAAAA": record(**TRIAL, replaces="T-BBBBBB"),
        "T-BBBBBB": record(**TRIAL, replaces="T-AAAAAA"),
    }
    assert Records(ring).corrected("T-AAAAAA") in ring


def test_actions_are_found_by_what_they_are_about() -> None:
    finding = "release-moved demo/r3"
    given = {"A-B": record(2, **ACTION), "A-A": record(3, **ACTION),
             "A-C": record(**{**ACTION, "about": finding})}  # fmt: skip
    records = Records(given)
    assert [name for name, _ in records.actions_about("N-000001")] == ["A-B", "A-A"]
    assert [name for name, _ in records.actions_about(finding)] == ["A-C"]
    assert [name for name, _ in records.without_effect(["A-B"]).actions_about("N-000001")] == ["A-A"]


def test_only_an_approved_change_answers_what_it_lists() -> None:
    change = record(**{**CHANGE, "answers": ["N-000001", "V-000001"]})
    assert Records({"C-000001": change}).answered_by_change == frozenset()
    approved = Records({"C-000001": change, "D-000001": record(2, **APPROVED)})
    assert approved.answered_by_change == {"N-000001", "V-000001"}
