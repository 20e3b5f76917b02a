"""Releases: where they stood, on main, valid, not over a hold; before, after, once answered."""

from pathlib import Path

import pytest

from tests.journeys.yard import (
    COAMING,
    SIDE,
    Yard,
    answered,
    explained,
    new_yard,
    only,
    record,
    record_path,
    record_text,
    thicken,
)

TRIAL = (
    "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "crack", "--text", "a crack",
)  # fmt: skip


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def test_a_tag_that_moved_and_moved_again(yard: Yard) -> None:
    stood = yard.repo.head("demo/r1")
    yard.repo.git("tag", "-f", "-a", "-m", "moved", "demo/r1", "HEAD")
    finding = only(yard.findings(), "release-moved")
    assert (finding["subject"], finding["id"]) == ("demo/r1", "release-moved demo/r1")
    assert "hull 001" in finding["message"]
    answered(yard, finding)
    yard.repo.git("tag", "-f", "-a", "-m", "moved", "demo/r1", "HEAD")
    only(yard.findings(), "release-moved")  # an answer is to what was seen
    yard.repo.git("tag", "-f", "-a", "-m", "back", "demo/r1", stood)
    told = yard("audit", "--json").json
    assert (told["findings"], told["answered"]) == ([], [])


def test_a_tag_that_was_deleted_though_records_name_it(yard: Yard) -> None:
    stood = yard.repo.head("demo/r1")
    yard.repo.git("tag", "--delete", "demo/r1")
    finding = only(yard.findings(), "release-deleted")
    assert finding["subject"] == "demo/r1"
    answered(yard, finding)
    yard.repo.tag("demo/r1", stood)
    assert yard("audit", "--json").json["answered"] == []


def test_a_release_off_main(yard: Yard) -> None:
    yard.repo.branch("aside")
    thicken(yard)
    commit = yard.repo.commit("aside")
    yard.repo.tag("demo/r2", commit)
    yard.repo.checkout("main")
    finding = only(yard.findings(), "release-off-main")
    assert finding["subject"] == "demo/r2"
    answered(yard, finding)
    yard.repo.git("tag", "--delete", "demo/r2")
    assert yard.findings() == {}


def test_a_step_to_another_commit_than_that_of_its_tag(yard: Yard) -> None:
    after = yard("hull", "show", "001", "--json").json["parts"][0]["step"]
    keys = {
        "kind": "step",
        "hull": "001",
        "part": "deck",
        "state": "kit-cut",
        "revision": "r1",
        "after": after,
    }
    other = yard.repo.commit("meanwhile", files={"notes.txt": "x"})
    record(yard, "H-AAAAAA", **keys, commit=other)
    finding = only(yard.findings(), "step-not-at-release")
    assert finding["subject"] == "H-AAAAAA"
    answered(yard, finding)
    right = yard.repo.head("demo/r1")
    corrected = yard("record", "correct", "H-AAAAAA", "--set", f"commit={right}", "--note", "mistyped")
    assert corrected.status == 0, corrected.err
    assert yard("audit", "--json").json["findings"] == []
    assert yard("hull", "show", "001", "--json").json["parts"][0]["state"] == "kit-cut"


def test_a_step_to_a_commit_that_is_not_here(yard: Yard) -> None:
    after = yard("hull", "show", "001", "--json").json["parts"][0]["step"]
    keys = {
        "kind": "step",
        "hull": "001",
        "part": "deck",
        "state": "kit-cut",
        "revision": "r1",
        "after": after,
    }
    record(yard, "H-AAAAAA", **keys, commit="0" * 39 + "1")
    assert sorted(yard.findings()) == ["hull-revision-missing", "step-not-at-release"]


def test_a_commit_that_a_hull_was_started_to_comes_with_the_tags(yard: Yard) -> None:
    """A release off main whose tag nobody fetched: the hull's recipe cannot be read until it is."""
    after = yard("hull", "show", "001", "--json").json["parts"][0]["step"]
    yard.repo.branch("aside")
    yard.repo.commit("aside", files={SIDE: (yard.root / SIDE).read_text().replace("20", "22")})
    yard.repo.tag("demo/r2")
    commit = yard.repo.head()
    yard.repo.checkout("main")
    keys = {"kind": "step", "hull": "001", "part": "deck", "state": "kit-cut", "after": after}
    record(yard, "H-AAAAAA", **keys, revision="r2", commit=commit)
    other = Yard(yard.repo.clone("other", "--no-tags", "--single-branch"))
    found = other.findings()
    assert only({"r": found["hull-revision-missing"]}, "r")["subject"] == "hull 001, deck"
    assert "git fetch" in found["hull-revision-missing"][0]["remedy"]
    other.repo.git("fetch", "--quiet", "--tags")
    assert list(other.findings()) == ["release-off-main"]


def test_a_release_made_over_a_hold(yard: Yard) -> None:
    trial = yard(*TRIAL, "--severity", "4").id
    thicken(yard)
    yard.change("--trial", trial)
    assert yard.findings() == {}
    second = yard(*TRIAL, "--severity", "5").id
    yard.repo.tag("demo/r2")
    assert sorted(yard.findings()) == ["hold", "hold-ignored"]
    yard("trial", "decide", second, "--decision", "rework", "--note", "bonded again", who="ben")
    finding = only(yard.findings(), "hold-ignored")  # whatever is recorded later
    assert second in finding["message"]
    answered(yard, finding, who="ben")


def test_a_release_with_invalid_files(yard: Yard) -> None:
    yard.edit(COAMING, 'edges = "simply-supported"', 'edges = "loose"')
    slip = yard.repo.commit("slip")
    yard.repo.tag("demo/r2")
    yard.edit(COAMING, 'edges = "loose"', 'edges = "simply-supported"')
    explained(yard, slip, yard.repo.commit("put right"))
    finding = only(yard.findings(), "invalid-at-release")
    assert (finding["subject"], COAMING in finding["message"]) == ("demo/r2", True)
    answered(yard, finding)


def test_a_hand_written_first_step_names_the_release_for_all_later_ones(yard: Yard) -> None:
    """A forged step that came later than the true one does not make the tag look moved."""
    text = record_text(kind="step", hull="002", part="deck", state="planned", revision="r1", commit="0" * 40)
    yard.repo.reach("2026-02-01")
    hull = (yard.root / "hulls/001.toml").read_text()
    yard.repo.commit("H", files={record_path("H-000000"): text, "hulls/002.toml": hull})
    assert "release-moved" not in yard.findings()
