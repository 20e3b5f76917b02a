"""Records together: what is in force, of one kind, on one hull, and about a record."""

from recipe_track.recipe.records import Decision, Deviation, Trial, Weighing
from recipe_track.recipe.trail import Records
from tests.unit.recipe.yard import APPROVED, CHANGE, DEVIATION, TRIAL, record

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
        "D-B": record(**closed, decision="contained"), "D-C": record(**closed, decision="no-action"),
    })  # fmt: skip
    assert list(records.changes_answering("T-000001")) == ["C-000001"]
    assert list(records.answers_of("T-000001")) == ["C-000001", "D-C"]
