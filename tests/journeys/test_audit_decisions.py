"""Decisions: by someone entitled, not by who asked, and not against each other; before, after, once answered."""

from pathlib import Path

import pytest

from tests.journeys.yard import (
    SETTINGS,
    SIDE,
    Yard,
    answered,
    change_record,
    change_text,
    decide,
    new_yard,
    only,
    record,
    record_path,
)


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def settings(yard: Yard, approval: str) -> None:
    """Other rules of approval, proposed and approved."""
    yard.repo.write("recipe-track.toml", f"{SETTINGS}\n[approval]\n{approval}\n")
    change = yard(
        "change", "propose", "--title", "t", "--reason", "there are two of us", "--category", "settings"
    ).id
    assert yard("change", "approve", change, who="ben").status == 0


def test_a_change_approved_by_its_proposer(yard: Yard) -> None:
    change_record(yard, who="ada")
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA", who="ada")
    finding = only(yard.findings(), "approved-by-proposer")
    assert finding["subject"] == "D-AAAAAA about C-AAAAAA"
    settings(yard, "distinct_approver = false")
    only(yard.findings(), "approved-by-proposer")  # the rules of that day hold
    change_record(yard, "C-BBBBBB", who="ada")
    decide(yard, "C-BBBBBB", "approved", "D-BBBBBB", who="ada")
    answered(yard, only(yard.findings(), "approved-by-proposer"))


def test_someone_else_who_decides_alike_ends_it(yard: Yard) -> None:
    change_record(yard, who="ada")
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA", who="ada")
    decide(yard, "C-AAAAAA", "approved", "D-BBBBBB", who="cem", on="2026-02-03")
    assert yard.findings() == {}


def test_a_decision_by_someone_not_entitled(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, settings=SETTINGS + '\n[approval]\napprovers = ["ben@quay.example"]\n')
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA", who="cem")
    finding = only(yard.findings(), "approver-not-entitled")
    assert "Cem Keel" in finding["message"]
    assert yard("action", "record", finding["id"], "--cause", "c", "--done", "d", who="ada").status == 1
    answered(yard, finding, who="ben")
    decide(yard, "C-AAAAAA", "approved", "D-BBBBBB", on="2026-02-03")
    told = yard("audit", "--json").json
    assert (told["findings"], told["answered"]) == ([], [])


def test_rules_that_one_side_had_tightened_hold_for_what_a_merge_brings(yard: Yard) -> None:
    """A decision made beside them is asked again once both lines are joined."""
    copy = Yard(yard.repo.clone("copy"))
    settings(yard, 'approvers = ["ben@quay.example"]')
    change_record(copy)
    decide(copy, "C-AAAAAA", "approved", "D-AAAAAA", who="cem")
    yard.repo.git("fetch", "--quiet", copy.root.as_uri(), "main")
    yard.repo.clock = max(yard.repo.clock, copy.repo.clock)
    yard.repo.merge("FETCH_HEAD", who="ben")
    only(yard.findings(), "approver-not-entitled")


def test_an_approval_names_the_very_record(yard: Yard) -> None:
    """What was put into the proposal once it was decided is not what was decided."""
    change_record(yard)
    old = yard.repo.git("rev-parse", f"main:{record_path('C-AAAAAA')}")
    yard.repo.git("reset", "--quiet", "--hard", "HEAD~1")
    text = change_text(edits=[(SIDE, "a" * 40, "b" * 40)])
    yard.repo.commit("C-AAAAAA", files={record_path("C-AAAAAA"): text})
    record(
        yard,
        "D-AAAAAA",
        "ben",
        "2026-02-02",
        kind="decision",
        about="C-AAAAAA",
        decision="approved",
        decides=old,
    )
    finding = only(yard.findings(), "record-altered")
    assert finding["subject"] == "C-AAAAAA"
    assert "another version" in finding["message"]
    assert "change approve C-AAAAAA" in finding["remedy"]
    answered(yard, finding)


def test_decisions_against_each_other(yard: Yard) -> None:
    change_record(yard)
    decide(yard, "C-AAAAAA", "rejected", "D-AAAAAA")
    decide(yard, "C-AAAAAA", "approved", "D-BBBBBB", on="2026-02-03")
    finding = only(yard.findings(), "records-contradict")
    assert finding["subject"] == "C-AAAAAA"
    answered(yard, finding)


def test_a_decision_before_what_it_is_about(yard: Yard) -> None:
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA", on="2026-01-02")
    finding = only(yard.findings(), "records-contradict")
    assert finding["subject"] == "D-AAAAAA"
    answered(yard, finding)


def test_verifications_that_cannot_be_or_differ(yard: Yard) -> None:
    change_record(yard)
    keys = {"kind": "verification", "about": "C-AAAAAA", "hull": "001"}
    record(yard, "V-AAAAAA", "cem", "2026-02-05", **keys, outcome="confirmed")
    assert "not approved" in only(yard.findings(), "records-contradict")["message"]
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA")
    assert yard.findings() == {}
    record(yard, "V-BBBBBB", "cem", "2026-02-06", **keys, outcome="not-confirmed")
    found = yard.findings()
    assert sorted(found) == ["change-not-confirmed", "records-contradict"]
    assert "on hull 001" in found["records-contradict"][0]["message"]
    record(yard, "V-CCCCCC", "cem", "2026-02-01", **keys, outcome="not-confirmed")
    assert any("before its approval" in f["message"] for f in yard.findings()["records-contradict"])
