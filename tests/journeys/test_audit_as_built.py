"""Hulls: held, moved on, put right, verified; what the audit says before, after, and once answered."""

from pathlib import Path

import pytest

from tests.journeys.yard import (
    SIDE,
    Yard,
    answered,
    new_yard,
    only,
    record,
    record_path,
    record_text,
    take_in,
    thicken,
    unanswerable,
)

TRIAL = (
    "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "crack", "--text", "a crack",
)  # fmt: skip
REPORT = (
    "deviation", "report", "001", "--zone", "deck/side", "--type", "nonconformity", "--text", "one ply short",
)  # fmt: skip
PROPOSE = ("change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup")


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def part(yard: Yard, state: str, *more: str, hull: str = "001") -> str:
    """Move the deck of a hull on."""
    return yard("hull", "part", hull, "--part", "deck", "--state", state, *more).id


def test_a_hold_comes_before_all_and_ends_with_a_decision(yard: Yard) -> None:
    trial = yard(*TRIAL, "--severity", "5").id
    yard.edit(SIDE, "pvc-80", "pvc-8")
    yard.repo.commit("slip")
    first = yard("audit", "--json").json["findings"][0]
    assert (first["rule"], first["subject"]) == ("hold", "deck/side")
    assert f"trial decide {trial}" in first["remedy"]
    yard.repo.git("reset", "--quiet", "--hard", "HEAD~1")
    finding = only(yard.findings(), "hold")
    unanswerable(yard, finding)
    contain = ("trial", "decide", trial, "--decision", "contained", "--note", "not used for now")
    assert yard(*contain, who="ben").status == 0
    finding = only(yard.findings(), "observation-unanswered")
    assert "contained, but not answered" in finding["message"]
    rework = ("trial", "decide", trial, "--decision", "rework", "--note", "bonded again")
    assert yard(*rework, who="ben").status == 0
    assert yard.findings() == {}


def test_a_contained_observation_may_be_answered_by_an_action(yard: Yard) -> None:
    trial = yard(*TRIAL, "--severity", "4").id
    yard("trial", "decide", trial, "--decision", "contained", "--note", "not used for now", who="ben")
    finding = only(yard.findings(), "observation-unanswered")
    main = yard.repo.head("main")
    answered(yard, finding, who="ben")
    yard.repo.git("reset", "--quiet", "--hard", main)
    assert yard("action", "record", trial, "--cause", "c", "--done", "d", who="ada").status == 1  # its logger
    record(yard, "A-AAAAAA", kind="action", about=trial, cause="c", done="d")
    only(yard.findings(), "observation-unanswered")
    assert yard("action", "record", trial, "--cause", "c", "--done", "d", who="ben").status == 0
    assert yard.findings() == {}


def test_a_deviation_is_a_hold_until_it_is_decided(yard: Yard) -> None:
    deviation = yard(*REPORT, who="cem").id
    finding = only(yard.findings(), "hold")
    assert f"deviation decide {deviation}" in finding["remedy"]
    assert yard("deviation", "decide", deviation, "--decision", "accepted", who="ben").status == 0
    assert yard.findings() == {}


def test_a_part_that_went_on_over_a_hold(yard: Yard) -> None:
    trial = yard(*TRIAL, "--severity", "4", "--on", "2026-02-01").id
    part(yard, "in-mould", "--on", "2026-02-02")
    decide = ("trial", "decide", trial, "--decision", "rework", "--note", "bonded", "--on", "2026-02-03")
    yard(*decide, who="ben")
    finding = only(yard.findings(), "hold-ignored")
    assert (finding["subject"], trial in finding["message"]) == ("hull 001, deck", True)
    part(yard, "demoulded", "--on", "2026-02-04")
    answered(yard, only(yard.findings(), "hold-ignored"))  # whatever is recorded later


def test_a_refused_nonconformity_on_a_fitted_part_is_put_right(yard: Yard) -> None:
    for state in ("in-mould", "demoulded", "fitted"):
        part(yard, state)
    deviation = yard(*REPORT, who="cem").id
    yard("deviation", "decide", deviation, "--decision", "refused", "--note", "lay it", who="ben")
    finding = only(yard.findings(), "nonconformity-open")
    assert finding["subject"] == deviation
    done = ("action", "record", deviation, "--cause", "the kit was short", "--done", "ply laid")
    assert yard(*done, who="cem").status == 1  # whose report it is
    assert yard(*done, who="ben").status == 0
    assert yard.findings() == {}


def test_a_change_that_did_not_work_is_answered_by_another(yard: Yard) -> None:
    thicken(yard)
    change = yard.change()
    wrong = yard(
        "change",
        "verify",
        change,
        "--hull",
        "001",
        "--outcome",
        "not-confirmed",
        "--meant",
        "--note",
        "n",
        who="cem",
    ).id
    finding = only(yard.findings(), "change-not-confirmed")
    assert f"--answers {wrong}" in finding["remedy"]
    before = yard.repo.head("main")
    answered(yard, finding, who="ben")
    yard.repo.git("reset", "--quiet", "--hard", before)
    thicken(yard, 30)
    yard.change("--answers", wrong)
    assert yard.findings() == {}


def test_a_retrofit_is_open_until_it_is_done(yard: Yard) -> None:
    for state in ("in-mould", "demoulded"):
        part(yard, state)
    thicken(yard)
    change = yard(*PROPOSE).id
    yard("change", "approve", change, "--hull-action", "001:deck=retrofit", who="ben")
    finding = only(yard.findings(), "hull-action-open")
    assert finding["subject"] == "hull 001, deck"
    before = yard.repo.head("main")
    answered(yard, finding, who="cem")
    yard.repo.git("reset", "--quiet", "--hard", before)
    part(yard, "demoulded", "--done", change)
    found = yard.findings()
    assert list(found) == ["change-unverified"]  # it is in a hull now
    assert yard("hull", "show", "001", "--json").json["parts"][0]["done"] == [change]


def test_an_action_about_a_change_answers_what_it_has_seen(yard: Yard) -> None:
    """What is decided for another hull later stands open again, and so does a verification that comes later."""
    assert yard("hull", "add", "002", "--revision", "r1").status == 0
    part(yard, "in-mould")
    part(yard, "in-mould", hull="002")
    thicken(yard)
    change = yard(*PROPOSE).id
    assert yard("change", "approve", change, "--hull-action", "001:deck=retrofit", who="ben").status == 0
    act = ("action", "record", change, "--cause", "no time", "--done", "the owner takes it as it is")
    assert yard(*act, who="cem").status == 0
    assert yard.findings() == {}
    assert (
        yard(
            "change",
            "verify",
            change,
            "--hull",
            "001",
            "--outcome",
            "not-confirmed",
            "--meant",
            "--note",
            "n",
        ).status
        == 0
    )
    blob = yard.repo.git("rev-parse", f"main:{record_path(change)}")
    keys = {"kind": "decision", "about": change, "decision": "approved", "decides": blob}
    text = record_text("ben", yard.repo.today, **keys)
    action = '[[hull_action]]\nhull = "002"\npart = "deck"\naction = "rework"\n'
    yard.repo.commit("and 002", files={record_path("D-AAAAAA"): text + action}, who="ben")
    assert sorted(yard.findings()) == ["change-not-confirmed", "hull-action-open"]
    assert yard.findings()["hull-action-open"][0]["subject"] == "hull 002, deck"
    assert yard(*act, who="cem").status == 0
    assert yard.findings() == {}


def test_a_change_built_in_and_never_verified(yard: Yard) -> None:
    thicken(yard)
    change = yard.change()
    yard("release", "demo")
    part(yard, "in-mould", "--revision", "r2")
    assert yard.findings() == {}
    part(yard, "demoulded")
    finding = only(yard.findings(), "change-unverified")
    assert finding["subject"] == change
    before = yard.repo.head("main")
    answered(yard, finding)
    yard.repo.git("reset", "--quiet", "--hard", before)
    yard("change", "verify", change, "--hull", "001", "--outcome", "confirmed")
    assert yard.findings() == {}


def test_two_clones_that_moved_a_part_differently(yard: Yard) -> None:
    copy = Yard(yard.repo.clone("copy"))
    here = part(yard, "kit-cut", "--on", "2026-02-01")
    there = part(copy, "in-mould", "--on", "2026-02-01")
    take_in(yard, copy)
    finding = only(yard.findings(), "steps-disagree")
    assert finding["subject"] == "hull 001, deck"
    assert {here, there} <= set(finding["message"].split())
    assert yard("hull", "show", "001", "--json").json["parts"][0]["state"] == "in-mould"
    assert yard("hull", "part", "001", "--part", "deck", "--state", "demoulded").status == 1
    answered(yard, finding)
    part(yard, "demoulded", "--note", "the mould book says so")
    told = yard("audit", "--json").json
    assert (told["findings"], told["answered"]) == ([], [])


def test_two_clones_that_moved_two_parts_or_one_alike_agree(yard: Yard) -> None:
    copy = Yard(yard.repo.clone("copy"))
    for clone in (yard, copy):
        assert clone("hull", "add", "002", "--revision", "r1", "--on", "2026-02-01").id == "002"
    part(yard, "in-mould", "--on", "2026-02-02", hull="002")
    part(copy, "in-mould", "--on", "2026-02-02", hull="002")
    part(copy, "demoulded", "--on", "2026-02-03", hull="002")
    yard("hull", "state", "001", "--state", "delivered", "--meant", "--note", "n", "--on", "2026-02-02")
    take_in(yard, copy)
    assert yard.findings() == {}
    assert yard("hull", "show", "002", "--json").json["parts"][0]["state"] == "demoulded"
    assert yard("hull", "list", "--json").json["hulls"][0]["status"] == "delivered"


def test_a_step_back_says_why(yard: Yard) -> None:
    step = part(yard, "in-mould")
    assert yard("hull", "part", "001", "--part", "deck", "--state", "kit-cut").status == 1
    record(yard, "H-AAAAAA", kind="step", hull="001", part="deck", state="kit-cut", after=step)
    finding = only(yard.findings(), "step-back")
    assert finding["subject"] == "hull 001, deck"
    before = yard.repo.head("main")
    answered(yard, finding)
    yard.repo.git("reset", "--quiet", "--hard", before)
    assert yard("record", "correct", "H-AAAAAA", "--note", "the mould was needed").status == 0
    assert yard.findings() == {}
