"""Edits of what is governed: what the audit says before they are decided, after, and once answered."""

from pathlib import Path

import pytest

from tests.journeys.yard import (
    COAMING,
    REQUIRED,
    SETTINGS,
    SIDE,
    Yard,
    answered,
    change_record,
    decide,
    edit_of,
    explained,
    new_yard,
    only,
    take_back,
    thicken,
    unanswerable,
)


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def test_an_edit_by_hand_is_told_until_it_is_explained_and_decided(yard: Yard) -> None:
    thicken(yard)
    commit = yard.repo.commit("The core came thicker", who="cem")
    finding = only(yard.findings(), "edit-not-decided")
    assert (finding["subject"], finding["file"], finding["commit"]) == (SIDE, SIDE, commit)
    assert (finding["by"], finding["since"][:10]) == ("Cem Keel <cem@quay.example>", yard.repo.today)
    assert "The core came thicker" in finding["message"]
    assert f"--landed {commit[:10]}" in finding["remedy"]
    unanswerable(yard, finding)
    change = explained(yard, commit, approve=None)
    waiting = only(yard.findings(), "edit-not-decided")
    assert f"change approve {change}" in waiting["remedy"]
    assert yard("change", "approve", change, who="ben").status == 0
    assert yard.findings() == {}


@pytest.mark.parametrize("known", [True, False])
def test_a_typed_trailer_proves_nothing(yard: Yard, known: bool) -> None:
    thicken(yard)
    change = yard.change() if known else "C-AAAAAA"
    thicken(yard, 30)
    yard.repo.commit(f"fine\n\nChange: {change}\nReason: too soft underfoot")
    message = only(yard.findings(), "edit-not-decided")["message"]
    assert f"claims {change}, which {'does not hold this edit' if known else 'is not on record'}" in message


def test_an_edit_that_was_rejected_afterwards_is_told_until_it_is_taken_back(yard: Yard) -> None:
    thicken(yard)
    commit = yard.repo.commit("Thicker core")
    change = explained(yard, commit, approve=None)
    assert yard("change", "reject", change, "--note", "too heavy", who="ben").status == 0
    assert change in only(yard.findings(), "edit-not-decided")["message"]
    take_back(yard, commit)
    assert yard.findings() == {}
    thicken(yard)
    yard.repo.commit("and again")
    only(yard.findings(), "edit-not-decided")


def test_materials_prices_and_settings_are_governed(yard: Yard) -> None:
    yard.edit("prices.toml", "48.0", "50.0")
    yard.edit("materials/pvc-80.toml", "density_kg_m3 = 80", "density_kg_m3 = 90")
    yard.repo.write("recipe-track.toml", SETTINGS + "\n[approval]\ndistinct_approver = false\n")
    yard.repo.commit("by hand")
    found = yard.findings()
    assert list(found) == ["edit-not-decided"]
    assert [one["subject"] for one in found["edit-not-decided"]] == [
        "materials/pvc-80.toml", "prices.toml", "recipe-track.toml",
    ]  # fmt: skip


def test_line_ends_alone_are_no_edit(yard: Yard) -> None:
    text = (yard.root / SIDE).read_bytes()
    yard.repo.git("config", "core.autocrlf", "false")
    yard.repo.write(SIDE, text.replace(b"\n", b"\r\n"))
    yard.repo.commit("another editor")
    assert yard.findings() == {}
    assert yard("history", "--json").json["revisions"][0]["label"] == "r1"


def test_an_edit_inside_a_merge_is_told(yard: Yard) -> None:
    thicken(yard)
    change = yard(
        "change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup"
    ).id
    yard.repo.git("checkout", "--quiet", "--", SIDE)
    copy = Yard(yard.repo.clone("copy"))
    assert copy("change", "approve", change, who="ben").status == 0
    yard.repo.commit("meanwhile", files={"notes.txt": "x"})
    yard.repo.git("fetch", "--quiet", copy.root.as_uri(), "main")
    yard.repo.git("merge", "--quiet", "--no-ff", "--no-commit", "FETCH_HEAD")
    yard.edit(COAMING, "plies = 3", "plies = 4")
    commit = yard.repo.commit("merge")
    finding = only(yard.findings(), "edit-not-decided")
    assert (finding["subject"], finding["commit"]) == (COAMING, commit)
    change = explained(yard, commit)
    assert yard.repo.git("show", f"main:records/2026/{change}.toml").count("[[edit]]") == 1
    assert yard.findings() == {}


def test_a_side_that_a_merge_dropped_is_told_until_it_is_decided(yard: Yard) -> None:
    copy = Yard(yard.repo.clone("copy"))
    thicken(copy)
    copy.change()
    yard.repo.commit("meanwhile", files={"notes.txt": "x"})
    yard.repo.git("fetch", "--quiet", copy.root.as_uri(), "main")
    yard.repo.git("merge", "--quiet", "--no-ff", "--no-commit", "--strategy=ours", "FETCH_HEAD")
    yard.repo.git("checkout", "--quiet", "FETCH_HEAD", "--", "records")
    dropped = yard.repo.commit("merge", who="cem")
    finding = only(yard.findings(), "edit-not-decided")
    assert (finding["subject"], finding["commit"]) == (SIDE, dropped)
    explained(yard, dropped)
    assert yard.findings() == {}


def test_half_of_what_was_decided_is_told_until_the_rest_is_there(yard: Yard) -> None:
    copy = Yard(yard.repo.clone("copy"))
    thicken(copy)
    copy.edit(COAMING, "plies = 3", "plies = 4")
    change = copy.change()
    yard.repo.git("fetch", "--quiet", copy.root.as_uri(), "main")
    yard.repo.git("checkout", "--quiet", "FETCH_HEAD", "--", SIDE, f"records/2026/{change}.toml")
    yard.repo.commit("what was proposed, for now without the coaming", who="ada")
    yard.repo.git("checkout", "--quiet", "FETCH_HEAD", "--", "records")
    half = yard.repo.commit("its decision", who="ben")
    finding = only(yard.findings(), "approved-not-landed")
    assert (finding["subject"], finding["file"]) == (change, COAMING)
    answered(yard, finding)
    yard.repo.git("reset", "--quiet", "--hard", half)
    yard.edit(COAMING, "plies = 3", "plies = 4")
    yard.repo.commit("and the coaming")
    assert yard.findings() == {}


def test_main_has_to_be_valid(yard: Yard) -> None:
    yard.edit(SIDE, "pvc-80", "pvc-8")
    commit = yard.repo.commit("slip")
    found = yard.findings()
    assert list(found) == ["main-invalid", "edit-not-decided"]
    finding = found["main-invalid"][0]
    assert f"{SIDE}:9" in finding["message"]
    unanswerable(yard, finding)
    back = take_back(yard, commit)
    assert "main-invalid" not in yard.findings()
    explained(yard, commit, back)
    assert yard.findings() == {}


def test_a_first_issue_needs_a_reason_or_an_account(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, hull=False)
    assert yard.findings() == {}
    model = (yard.root / "models/demo/model.toml").read_text()
    yard.repo.commit("Another craft", files={"models/other/model.toml": model})
    finding = only(yard.findings("other"), "first-issue-without-reason")
    assert yard.findings("demo") == {}
    answered(yard, finding)


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
    commit = yard.repo.commit("by hand")
    change_record(yard, edits=[edit_of(yard, commit)])
    decide(yard, "C-AAAAAA", "approved", "D-AAAAAA")
    finding = only(yard.findings(), rule)
    assert finding["subject"] == "deck/side"
    assert "C-AAAAAA" in finding["message"]
    bare = yard("action", "record", finding["id"], "--cause", "c", "--done", "d", who="cem")
    assert (bare.status, "by a document" in bare.err) == (1, True)
    answered(yard, finding, "--document", "SC-014 rev C", "--body", "Registry")


def test_a_reverified_minimum_is_in_order(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, required=REQUIRED)
    thicken(yard, 12)
    commit = yard.repo.commit("by hand")
    change = explained(yard, commit, approve=None)
    assert sorted(yard.findings()) == ["edit-not-decided", "minimum-broken"]
    assert yard("change", "approve", change, who="ben").status == 1
    checked = ("--reverified", "SC-014 rev C", "--body", "Registry")
    assert yard("change", "approve", change, *checked, who="ben").status == 0
    assert yard.findings() == {}


def test_a_zone_with_minima_that_vanished_is_told_until_another_names_it(tmp_path: Path) -> None:
    yard = new_yard(tmp_path, required=REQUIRED.replace("6.0", "600.0"))
    (yard.root / SIDE).unlink()
    commit = yard.repo.commit("no side deck", who="cem")
    explained(yard, commit)
    finding = only(yard.findings(), "zone-vanished")
    assert finding["subject"] == "demo deck/side"
    yard.repo.branch("aside")
    yard.repo.checkout("main")
    answered(yard, finding, who="ben")
    yard.repo.git("reset", "--quiet", "--hard", "aside")
    text = (yard.root / COAMING).read_text()
    yard.repo.write(COAMING, f'formerly = ["deck/side"]\n{text}')
    yard.change(reason="the coaming takes its place")
    assert yard.findings() == {}
