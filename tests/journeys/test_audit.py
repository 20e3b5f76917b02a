"""Each kind of finding provoked, reported with what to do, and the example's own three."""

from pathlib import Path

import pytest

from tests.journeys.gitrepo import GitRepo
from tests.journeys.yard import (
    COAMING,
    REQUIRED,
    SETTINGS,
    SIDE,
    Yard,
    change_record,
    decide,
    new_yard,
    only,
    record,
    thicken,
)

TRIAL = (
    "trial",
    "log",
    "--hull",
    "001",
    "--zone",
    "deck/side",
    "--observation",
    "crack",
    "--text",
    "a crack",
)


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def by_hand(yard: Yard, change: str | None = None, reason: str | None = None) -> str:
    """A recipe edit straight onto main."""
    trailers = [f"Change: {change}"] if change else []
    trailers += [f"Reason: {reason}"] if reason else []
    return yard.repo.commit("\n\n".join(filter(None, ["Edit", "\n".join(trailers)])))


def test_a_yard_in_order_has_no_finding(yard: Yard) -> None:
    thicken(yard)
    yard.change()
    answer = yard("audit")
    assert answer.status == 0
    assert "nothing found" in answer.out
    assert "records audit" in answer.out
    assert "inspects no hull" in answer.out


@pytest.mark.parametrize("reason", [None, "the gun is set finer"])
def test_a_recipe_commit_without_a_change_record(yard: Yard, reason: str | None) -> None:
    thicken(yard)
    commit = by_hand(yard, reason=reason)
    finding = only(yard.findings(), "commit-without-change")
    assert commit[:10] in finding["subject"]
    assert ("without a reason" in finding["message"]) == (reason is None)
    assert SIDE in finding["message"]


def test_a_recipe_commit_that_names_a_change_nobody_recorded(yard: Yard) -> None:
    thicken(yard)
    by_hand(yard, "C-AAAAAA")
    found = yard.findings()
    assert sorted(found) == ["commit-without-change", "commit-without-reason"]
    assert "C-AAAAAA" in found["commit-without-change"][0]["message"]


def test_a_first_issue_needs_a_reason(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, hull=False)
    assert yard.findings() == {}
    model = (yard.root / "models/demo/model.toml").read_text()
    yard.repo.commit("Another craft", files={"models/other/model.toml": model})
    only(yard.findings("other"), "commit-without-reason")
    assert yard.findings("demo") == {}


def test_an_edit_on_main_that_was_never_approved(yard: Yard) -> None:
    thicken(yard)
    by_hand(yard, "C-AAAAAA", "too soft underfoot")
    change_record(yard)
    assert "not decided" in only(yard.findings(), "change-not-approved")["message"]
    decide(yard, "C-AAAAAA", "rejected", "D-AAAAAA")
    assert "rejected" in only(yard.findings(), "change-not-approved")["message"]


def test_a_change_approved_by_its_proposer(yard: Yard) -> None:
    change_record(yard, who="ada")
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA", who="ada")
    only(yard.findings(), "approved-by-proposer")
    yard.repo.write("recipe-track.toml", SETTINGS + "\n[approval]\ndistinct_approver = false\n")
    yard.repo.commit("allow it from now on")
    only(yard.findings(), "approved-by-proposer")  # the rules of that day hold
    change_record(yard, "C-BBBBBB", who="ada")
    decide(yard, "C-BBBBBB", "approved", "D-BBBBBB", who="ada")
    only(yard.findings(), "approved-by-proposer")


def test_a_decision_by_someone_not_entitled(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, settings=SETTINGS + '\n[approval]\napprovers = ["ben@quay.example"]\n')
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA", who="cem")
    assert "Cem Keel" in only(yard.findings(), "approver-not-entitled")["message"]


def test_a_tag_that_moved(yard: Yard) -> None:
    yard.repo.git("tag", "-f", "-a", "-m", "moved", "demo/r1", "HEAD")
    finding = only(yard.findings(), "release-moved")
    assert finding["subject"] == "demo/r1"
    assert "hull 001" in finding["message"]


def test_a_release_off_main(yard: Yard) -> None:
    yard.repo.branch("aside")
    thicken(yard)
    commit = yard.repo.commit("aside")
    yard.repo.tag("demo/r2", commit)
    yard.repo.checkout("main")
    assert only(yard.findings(), "release-off-main")["subject"] == "demo/r2"


def hull_part(yard: Yard, old: str, new: str) -> None:
    yard.edit("hulls/001.toml", old, new)
    yard.repo.commit("hull by hand")


def test_a_hull_built_to_a_revision_that_is_not_released(yard: Yard) -> None:
    hull_part(yard, 'revision = "r1"', 'revision = "r7"')
    finding = only(yard.findings(), "hull-unreleased")
    assert finding["subject"] == "hull 001, deck"


def test_a_hull_built_to_a_commit_that_is_not_there(yard: Yard) -> None:
    head = yard.repo.head("demo/r1")
    hull_part(yard, head, "0" * 39 + "1")
    found = yard.findings()
    assert sorted(found) == ["hull-revision-missing", "release-moved"]


def test_a_release_made_over_a_hold(yard: Yard) -> None:
    trial = yard(*TRIAL, "--severity", "4").id
    thicken(yard)
    yard.change("--trial", trial)
    assert yard.findings() == {}
    second = yard(*TRIAL, "--severity", "5").id
    yard.repo.tag("demo/r2")
    yard("trial", "decide", second, "--decision", "rework", "--note", "bonded again")
    finding = only(yard.findings(), "hold-ignored")
    assert second in finding["message"]


def test_a_part_that_went_on_over_a_hold(yard: Yard) -> None:
    trial = yard(*TRIAL, "--severity", "4", "--on", "2026-02-01").id
    yard("hull", "part", "001", "--part", "deck", "--state", "in-mould", "--on", "2026-02-02")
    yard("trial", "decide", trial, "--decision", "rework", "--note", "bonded", "--on", "2026-02-03")
    text = (yard.root / "hulls/001.toml").read_text()
    row = text[text.index("[[part]]") :].replace('"deck"', '"cabin"')
    yard.repo.commit("another part went on too", files={"hulls/001.toml": f"{text}\n{row}"})
    finding = only(yard.findings(), "hold-ignored")
    assert (finding["subject"], trial in finding["message"]) == ("hull 001, deck", True)
    yard("hull", "part", "001", "--part", "deck", "--state", "demoulded", "--on", "2026-02-04")
    assert yard.findings() == {}


@pytest.mark.parametrize("contained", [False, True])
def test_a_severe_observation_without_an_answer(yard: Yard, contained: bool) -> None:
    yard(*TRIAL, "--severity", "3")
    trial = yard(*TRIAL, "--severity", "5").id
    if contained:
        yard("trial", "decide", trial, "--decision", "contained", "--note", "not used for now")
    finding = only(yard.findings(), "observation-unanswered")
    assert finding["subject"] == trial
    assert ("neither contained" in finding["message"]) == (not contained)


def test_a_change_built_in_and_never_verified(yard: Yard) -> None:
    thicken(yard)
    change = yard.change()
    yard("release", "demo")
    yard("hull", "part", "001", "--part", "deck", "--revision", "r2", "--state", "in-mould")
    assert yard.findings() == {}
    yard("hull", "part", "001", "--part", "deck", "--state", "demoulded")
    assert only(yard.findings(), "change-unverified")["subject"] == change
    yard("change", "verify", change, "--hull", "001", "--outcome", "confirmed")
    assert yard.findings() == {}


@pytest.mark.parametrize(
    ("old", "new", "rule"),
    [
        ("thickness_mm = 20", "thickness_mm = 12", "minimum-broken"),
        ("span_mm = 450", "span_mm = 440", "minimum-rebased"),
        ("core_thickness_mm_min = 15.0", "core_thickness_mm_min = 10.0", "minimum-rebased"),
    ],
)
def test_minima_without_a_reverification(tmp_path: Path, old: str, new: str, rule: str) -> None:
    yard = new_yard(tmp_path, required=REQUIRED.replace("6.0", "600.0"))
    yard.edit(SIDE, old, new)
    by_hand(yard, "C-AAAAAA", "too soft underfoot")
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA")
    assert only(yard.findings(), rule)["subject"] == "deck/side"


def test_a_reverified_minimum_is_in_order(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, required=REQUIRED)
    thicken(yard, 12)
    change = yard(
        "change", "propose", "--title", "t", "--reason", "weight above all else", "--category", "layup"
    ).id
    yard("change", "approve", change, "--reverified", "SC-014 rev C", "--body", "Registry", who="ben")
    assert yard.findings() == {}


def test_decisions_against_each_other(yard: Yard) -> None:
    change_record(yard)
    decide(yard, "C-AAAAAA", "rejected", "D-AAAAAA")
    decide(yard, "C-AAAAAA", "approved", "D-BBBBBB", on="2026-02-03")
    assert only(yard.findings(), "records-contradict")["subject"] == "C-AAAAAA"


def test_a_decision_before_what_it_is_about(yard: Yard) -> None:
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA", on="2026-01-02")
    assert only(yard.findings(), "records-contradict")["subject"] == "D-AAAAAA"


def test_verifications_that_cannot_be_or_differ(yard: Yard) -> None:
    change_record(yard)
    keys = {"kind": "verification", "about": "C-AAAAAA", "hull": "001"}
    record(yard, "V-AAAAAA", "cem", "2026-02-05", **keys, outcome="confirmed")
    assert "not approved" in only(yard.findings(), "records-contradict")["message"]
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA")
    assert yard.findings() == {}
    record(yard, "V-BBBBBB", "cem", "2026-02-06", **keys, outcome="not-confirmed")
    assert "on hull 001" in only(yard.findings(), "records-contradict")["message"]
    record(yard, "V-CCCCCC", "cem", "2026-02-01", **{**keys, "hull": "001"}, outcome="not-confirmed")
    assert any("before its approval" in f["message"] for f in yard.findings()["records-contradict"])


def test_a_release_with_invalid_files(yard: Yard) -> None:
    yard.edit(COAMING, 'edges = "simply-supported"', 'edges = "loose"')
    by_hand(yard, "C-AAAAAA", "too soft underfoot")
    yard.repo.tag("demo/r2")
    yard.edit(COAMING, 'edges = "loose"', 'edges = "simply-supported"')
    by_hand(yard, "C-AAAAAA", "too soft underfoot")
    change_record(yard)
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA")
    finding = only(yard.findings(), "invalid-at-release")
    assert (finding["subject"], COAMING in finding["message"]) == ("demo/r2", True)


def test_an_altered_and_a_deleted_record(yard: Yard) -> None:
    first, second = yard(*TRIAL, "--severity", "2").id, yard(*TRIAL, "--severity", "2").id
    paths = {path.stem: path for path in (yard.root / "records").rglob("*.toml")}
    text = paths[first].read_text()
    paths[first].write_text(text.replace("a crack", "a scratch"))
    paths[second].unlink()
    yard.repo.commit("tidy up", who="cem")
    found = yard.findings()
    assert sorted(found) == ["record-altered", "record-deleted"]
    assert found["record-altered"][0]["subject"] == first
    assert "Cem Keel" in found["record-altered"][0]["message"]
    assert found["record-deleted"][0]["subject"] == second
    paths[first].write_text(text)
    yard.repo.commit("put it back")
    assert list(yard.findings()) == ["record-deleted"]


def test_as_of_an_earlier_revision(yard: Yard) -> None:
    thicken(yard)
    by_hand(yard)
    assert yard.findings("--as-of", "r1") == {}
    assert list(yard.findings("--as-of", "r1+1")) == ["commit-without-change"]
    assert yard("audit", "--as-of", "nonsense").status == 2
    assert yard("audit", "nothing").status == 2


def test_the_example_has_just_the_findings_planted_in_it(example: Path) -> None:
    """As the example's README lists them."""
    yard = Yard(GitRepo(example, example.parent / "home"))
    found = yard.findings()
    assert sorted(found) == ["change-unverified", "commit-without-change", "observation-unanswered"]
    assert [len(rows) for rows in found.values()] == [1, 1, 1]
    assert "Roof gelcoat 0.5 mm" in found["commit-without-change"][0]["subject"]
    assert found["change-unverified"][0]["subject"] == "C-XYNJX0"
    assert found["observation-unanswered"][0]["subject"] == "T-SQHKYH"
