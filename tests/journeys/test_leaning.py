"""Ways to lean on the record: what the audit says before, after, and once it is put right."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.journeys.gitrepo import PEOPLE
from tests.journeys.team import STRONGER, THICKER, WIDER, Clone, Team, new_team
from tests.journeys.yard import (
    COAMING,
    REQUIRED,
    SETTINGS,
    SIDE,
    change_text,
    only,
    record_path,
    record_text,
)

CRACK = ("--hull", "001", "--zone", "deck/side", "--observation", "crack", "--text", "a crack")
Finding = Mapping[str, str]


@pytest.fixture
def team(tmp_path: Path) -> Team:
    return new_team(tmp_path)


@pytest.fixture
def ada(team: Team) -> Clone:
    return team.clone("ada")


@pytest.fixture
def ben(team: Team) -> Clone:
    return team.clone("ben")


@pytest.fixture
def cem(team: Team) -> Clone:
    return team.clone("cem")


def told(team: Team, leaning: Clone, rule: str, file: str, by: str = "") -> Finding:
    """The one finding that the others have once they pull: it names the file, the commit and the person."""
    assert team.clone("ada" if leaning.who != "ada" else "ben").findings() == {}
    team.share(leaning)
    finding = only(team.clone("ada" if leaning.who != "ada" else "ben").findings(), rule)
    name, mail = PEOPLE[by or leaning.who]
    assert finding["by"] == f"{name} <{mail}>"
    assert finding["commit"]
    assert finding["file"] == file
    return finding


def answer(team: Team, finding: Finding, who: str) -> None:
    """What was done about it stands on record, and fails the audit no more; of everyone."""
    clone = team.clone(who)
    said = clone("action", "record", finding["id"], "--cause", "a slip", "--done", "talked over")
    assert said.status == 0, said.err
    team.share(clone)
    for one in team.clones.values():
        now = one("audit", "--json").json
        assert now["findings"] == []
        assert [(a["id"], a["answered_by"]) for a in now["answered"]] == [(finding["id"], said.id)]


def in_order(team: Team, clone: Clone) -> None:
    """Nobody finds anything once they have what one has."""
    team.share(clone)
    assert all(one.findings() == {} for one in team.clones.values())


def test_a_typed_trailer(team: Team, ada: Clone, cem: Clone) -> None:
    change = ada.change(THICKER)
    team.share(ada)
    cem.edit(WIDER)
    commit = cem.commit(f"Work on the deck\n\nChange: {change}\nReason: too soft underfoot")
    finding = told(team, cem, "edit-not-decided", SIDE)
    assert f"claims {change}, which does not hold this edit" in finding["message"]
    ada.explain(commit)
    in_order(team, ada)


def test_an_approval_amended_to_hold_more(team: Team, ada: Clone, ben: Clone) -> None:
    change = ada.propose(THICKER)
    ada.push(f"change/{change}")
    ben.git("fetch", "--quiet")
    ben.approve(change)
    ben.edit(WIDER)
    ben.git("add", "--all")
    ben.git("commit", "--quiet", "--amend", "--no-edit")
    told(team, ben, "edit-not-decided", SIDE)
    ada.explain(ben.head(), approver="cem")
    in_order(team, ada)


def test_a_change_record_altered(team: Team, ada: Clone, cem: Clone) -> None:
    change = ada.change(THICKER)
    team.share(ada)
    path = cem.git("ls-files", f"records/*/{change}.toml")
    text = (cem.root / path).read_bytes()
    cem.write(path, text.replace(b"too soft underfoot", b"asked for by the owner"))
    cem.commit("tidy up")
    finding = told(team, cem, "record-altered", path)
    assert finding["subject"] == change
    assert "too soft underfoot" in ada("change", "show", change).out  # what was first written counts
    ada.write(path, text)
    ada.commit("put it back")
    in_order(team, ada)


def test_a_change_record_that_is_not_the_one_decided(team: Team, ada: Clone, cem: Clone) -> None:
    """A squash whose record says more than what was decided; decided again as it is, it is in order."""
    change = ada.change(THICKER)
    ada.push("main:refs/heads/aside")
    cem.git("fetch", "--quiet")
    cem.git("merge", "--quiet", "--squash", "origin/aside")
    path = cem.git("ls-files", f"records/*/{change}.toml")
    cem.yard.edit(path, "too soft underfoot", "asked for by the owner")
    cem.git("add", "--all")
    cem.git("commit", "--quiet", "-m", "Thicker", "--author=Ada Quay <ada@quay.example>", who="ben")
    cem.push()
    ada.git("fetch", "--quiet")
    ada.git("reset", "--quiet", "--hard", "origin/main")
    found = ada.findings()
    assert found["record-altered"][0]["subject"] == change
    assert set(found) <= {"record-altered", "edit-not-decided"}
    ada.approve(change, "cem")
    in_order(team, ada)


def test_an_edit_inside_a_merge(team: Team, ada: Clone, cem: Clone) -> None:
    ada.change(THICKER)
    ada.push()
    cem.commit("meanwhile")
    cem.git("pull", "--quiet", "--no-rebase", "--no-commit")
    cem.edit(STRONGER)
    merge = cem.commit("merge")
    told(team, cem, "edit-not-decided", COAMING)
    ada.explain(merge)
    in_order(team, ada)


def test_a_side_dropped_by_a_merge(team: Team, ada: Clone, cem: Clone) -> None:
    ada.change(THICKER)
    ada.push()
    cem.commit("meanwhile")
    cem.git("fetch", "--quiet")
    cem.git("merge", "--quiet", "--no-commit", "--strategy=ours", "origin/main")
    cem.git("checkout", "--quiet", "origin/main", "--", "records")
    merge = cem.commit("merge")
    told(team, cem, "edit-not-decided", SIDE)
    ada.explain(merge)
    in_order(team, ada)


def test_a_side_dropped_with_its_records(team: Team, ada: Clone, cem: Clone) -> None:
    change = ada.change(THICKER)
    ada.push()
    cem.commit("meanwhile")
    cem.git("fetch", "--quiet")
    cem.git("merge", "--quiet", "--strategy=ours", "-m", "merge", "origin/main")
    team.share(cem)
    found = ada.findings()
    assert sorted(found) == ["edit-not-decided", "record-deleted"]
    assert {one["by"] for rule in found.values() for one in rule} == {"Cem Keel <cem@quay.example>"}
    ada.git("checkout", "--quiet", "HEAD^2", "--", "records")
    ada.commit("the records back")
    assert "approved" in ada("change", "show", change).out
    ada.explain(cem.head())
    in_order(team, ada)


def test_a_commit_added_to_a_proposal(team: Team, ada: Clone, ben: Clone, cem: Clone) -> None:
    change = ada.propose(THICKER)
    ada.push(f"change/{change}")
    cem.git("fetch", "--quiet")
    cem.git("checkout", "--quiet", f"change/{change}")
    cem.edit(WIDER)
    cem.commit("while at it")
    cem.push(f"change/{change}")
    cem.git("checkout", "--quiet", "main")
    ben.git("fetch", "--quiet")
    refused = ben("change", "approve", change)
    assert (refused.status, SIDE in refused.err) == (1, True)
    assert f"--replaces {change}" in refused.err
    anew = ada.propose(THICKER, WIDER, options=("--replaces", change))
    ada.push(f"change/{anew}")
    ben.git("fetch", "--quiet")
    ben.approve(anew)
    in_order(team, ben)
    assert ben("change", "show", anew, "--json").json["state"] == "approved"


def test_a_proposal_with_more_merged_by_hand(team: Team, ada: Clone, cem: Clone) -> None:
    change = ada.change(THICKER)
    ada.push("main^2:refs/heads/decided")
    ada.git("reset", "--quiet", "--hard", "origin/main")
    cem.git("fetch", "--quiet")
    cem.git("checkout", "--quiet", "decided")
    cem.edit(STRONGER)
    more = cem.commit(f"while at it\n\nChange: {change}")
    cem.git("checkout", "--quiet", "main")
    cem.git("merge", "--quiet", "--no-ff", "-m", "Merge", "decided")
    assert told(team, cem, "edit-not-decided", COAMING)["commit"] == more
    ada.explain(more)
    in_order(team, ada)


def thickened_and_back(team: Team, ada: Clone) -> tuple[str, str]:
    """A change and its revert, both decided: what was proposed first, and main with it."""
    ada.change(THICKER)
    proposed, merged = ada.head("main^2^"), ada.head()
    ada.change((SIDE, "thickness_mm = 25", "thickness_mm = 20"))
    team.share(ada)
    return proposed, merged


def test_an_old_edit_replayed(team: Team, ada: Clone, cem: Clone) -> None:
    proposed, _ = thickened_and_back(team, ada)
    cem.git("cherry-pick", "--no-commit", proposed)
    cem.git("reset", "--quiet", "--", "records")
    cem.git("checkout", "--quiet", "--", "records")
    replayed = cem.commit("Propose it again", "--author=Ada Quay <ada@quay.example>")
    finding = told(team, cem, "edit-not-decided", SIDE, "ada")
    assert finding["commit"] == replayed
    ada.explain(replayed)
    in_order(team, ada)


def test_an_old_edit_revived_by_a_merge(team: Team, ada: Clone, cem: Clone) -> None:
    _, merged = thickened_and_back(team, ada)
    cem.git("checkout", "--quiet", "-b", "old", merged)
    cem.commit("nothing of the kind")
    cem.git("checkout", "--quiet", "main")
    cem.git("merge", "--quiet", "--no-ff", "--no-commit", "old")
    cem.git("checkout", "--quiet", "old", "--", SIDE)
    revived = cem.commit("merge")
    assert told(team, cem, "edit-not-decided", SIDE)["commit"] == revived
    ada.explain(revived)
    in_order(team, ada)


def test_half_a_decision_landed(team: Team, ada: Clone, cem: Clone) -> None:
    change = ada.change(THICKER, STRONGER)
    ada.push("main:refs/heads/aside")
    ada.git("reset", "--quiet", "--hard", "origin/main")
    cem.git("fetch", "--quiet")
    cem.git("cherry-pick", "origin/aside^2^")
    cem.git("cherry-pick", "origin/aside^2")
    cem.git("checkout", "--quiet", "HEAD~2", "--", COAMING)
    cem.git("commit", "--quiet", "--amend", "--no-edit")
    cem.git("reset", "--quiet", "--soft", "HEAD~2")
    cem.git("commit", "--quiet", "-m", "Work on the deck", "--author=Ada Quay <ada@quay.example>", who="ben")
    cem.push()
    ada.git("pull", "--quiet")
    finding = only(ada.findings(), "approved-not-landed")
    assert (finding["subject"], finding["file"]) == (change, COAMING)
    ada.edit(STRONGER)
    ada.commit("and the coaming")
    in_order(team, ada)


def test_an_edit_split(team: Team, ada: Clone, cem: Clone) -> None:
    """Half of what was decided in one file is another edit, and the decided one is not there."""
    change = ada.change(THICKER, WIDER)
    ada.push("main:refs/heads/aside")
    ada.git("reset", "--quiet", "--hard", "origin/main")
    cem.git("fetch", "--quiet")
    cem.git("merge", "--quiet", "--squash", "origin/aside")
    cem.yard.edit(SIDE, "overlap_fraction = 0.08", "overlap_fraction = 0.06")
    cem.git("add", "--all")
    cem.git("commit", "--quiet", "-m", "Thicker", "--author=Ada Quay <ada@quay.example>", who="ben")
    cem.push()
    ada.git("pull", "--quiet")
    found = ada.findings()
    assert sorted(found) == ["approved-not-landed", "edit-not-decided"]
    assert found["approved-not-landed"][0]["subject"] == change
    assert ada("release", "demo").status == 1
    half = ada.head()
    ada.edit(WIDER)
    rest = ada.commit("the rest of it")
    ada.explain(half, rest, approver="cem")
    in_order(team, ada)


def test_a_decision_in_the_name_of_another(team: Team, ada: Clone, ben: Clone) -> None:
    """Until Ben confirms it, it has no effect, and its edits are told under that one finding."""
    change = ada.propose(THICKER)
    decision = ada.approve(change, "ben")
    path = ada.git("ls-files", f"records/*/{decision}.toml")
    blob = ada.head("main^2")
    ada.git("checkout", "--quiet", "-b", "mine", f"{blob}^")
    ada.git("checkout", "--quiet", blob, "--", path)
    ada.commit("Approve")
    ada.git("checkout", "--quiet", "-B", "main", "origin/main")
    ada.git("merge", "--quiet", "--no-ff", "-m", "Approve", "mine")
    finding = told(team, ada, "record-by-another", path)
    assert finding["subject"] == decision
    assert ben("change", "show", change, "--json").json["state"] == "proposed"
    assert ada("record", "confirm", decision).status == 1
    assert ben("record", "confirm", decision).status == 0
    in_order(team, ben)
    assert ada("change", "show", change, "--json").json["state"] == "approved"


@pytest.mark.parametrize("how", ["edited", "deleted", "moved", "twice"])
def test_a_record_is_written_once(team: Team, ada: Clone, cem: Clone, how: str) -> None:
    trial = ada("trial", "log", *CRACK, "--severity", "2").id
    team.share(ada)
    path = record_path(trial)
    text = (cem.root / path).read_bytes()
    if how == "edited":
        cem.write(path, text.replace(b"a crack", b"a scratch"))
    elif how == "twice":
        cem.write(path.replace("2026", "2025"), text.replace(b"a crack", b"a scratch"))
    else:
        (cem.root / path).unlink()
        if how == "moved":
            cem.write(path.replace("2026", "2025"), text)
    cem.commit("tidy up")
    team.share(cem)
    found = ada.findings()
    assert {one["subject"] for rule in found.values() for one in rule} >= {trial}
    assert {one["by"] for rule in found.values() for one in rule} == {"Cem Keel <cem@quay.example>"}
    expected = {"edited": "record-altered", "deleted": "record-deleted", "moved": "record-deleted",
                "twice": "record-altered"}  # fmt: skip
    assert expected[how] in found
    assert "a crack" in ada("trial", "show", trial).out
    ada.git("revert", "--no-edit", "HEAD")
    in_order(team, ada)


def test_a_record_added_in_two_versions(team: Team, ada: Clone, cem: Clone) -> None:
    """On two lines under one name: whichever main keeps, the other is told."""
    text = record_text("ada", kind="weighing", hull="001", part="deck", state="trimmed")
    for clone, mass in ((ada, "24.2"), (cem, "22.0")):
        team.clock = max(team.clock, 1769940000)
        clone.write(record_path("W-AAAAAA"), text + f"mass_kg = {mass}\n")
        clone.commit("on the scales", who="ada")
    ada.push()
    cem.git("fetch", "--quiet")
    found, own = {}, cem.head()
    for side in ("--ours", "--theirs"):
        assert cem.run("merge", "--quiet", "origin/main").returncode != 0
        cem.git("checkout", "--quiet", side, "--", record_path("W-AAAAAA"))
        cem.commit("merge")
        found[side] = cem.findings()
        cem.git("reset", "--quiet", "--hard", own)
    wrong, right = sorted(found, key=lambda side: not found[side])
    finding = only(found[wrong], "record-altered")
    assert (finding["subject"], finding["by"]) == ("W-AAAAAA", "Cem Keel <cem@quay.example>")
    assert found[right] == {}  # those bytes are what first added it


def test_a_hull_file_edited(team: Team, ada: Clone, cem: Clone) -> None:
    text = (cem.root / "hulls/001.toml").read_bytes()
    cem.write("hulls/001.toml", text + b'customer_reference = "Vermeer"\n')
    cem.commit("of whom")
    told(team, cem, "record-altered", "hulls/001.toml")
    ada.write("hulls/001.toml", text)
    ada.commit("back")
    in_order(team, ada)


def by_hand(clone: Clone, record_id: str, on: str, more: str = "", **keys: str) -> str:
    """A record that nothing checked."""
    clone.write(f"records/{on[:4]}/{record_id}.toml", record_text(clone.who, on, **keys) + more)
    return clone.commit(record_id)


def test_a_record_dated_ahead(team: Team, ada: Clone, cem: Clone) -> None:
    weighing = {"kind": "weighing", "hull": "001", "part": "deck", "state": "trimmed"}
    by_hand(cem, "W-AAAAAA", "2026-06-01", "mass_kg = 24.0\n", **weighing)
    finding = told(team, cem, "record-dated-ahead", record_path("W-AAAAAA"))
    answer(team, finding, "ada")
    cem.git("reset", "--quiet", "--hard", "HEAD~1")
    assert "record correct W-AAAAAA --on" in finding["remedy"]
    today = cem.yard.repo.today
    assert cem("record", "correct", "W-AAAAAA", "--on", today, "--note", "a slip", "--meant").status == 0
    assert cem.findings() == {}
    refused = cem("hull", "weigh", "001", "--part", "deck", "--mass-kg", "24", "--state", "trimmed", "--on",
                  "2999-01-01")  # fmt: skip
    assert (refused.status, "ahead of today" in refused.err) == (2, True)


def test_a_decision_before_what_it_decides(team: Team, ada: Clone, ben: Clone) -> None:
    trial = ada("trial", "log", *CRACK, "--severity", "2").id
    team.share(ada)
    refused = ben(
        "trial", "decide", trial, "--decision", "left-as-is", "--note", "seen", "--on", "2025-12-01"
    )
    assert (refused.status, f"{trial} is of 2026-01-01" in refused.err) == (2, True)
    by_hand(ben, "D-AAAAAA", "2025-12-01", kind="decision", about=trial, decision="left-as-is", note="seen")
    finding = told(team, ben, "records-contradict", "records/2025/D-AAAAAA.toml")
    answer(team, finding, "cem")


def test_a_correction_of_anothers_record(team: Team, ada: Clone, cem: Clone) -> None:
    settings = SETTINGS + '\n[approval]\napprovers = ["ben@quay.example"]\n'
    ada.write("recipe-track.toml", settings)
    said = ada("change", "propose", "--title", "Ben decides", "--reason", "as agreed at the office",
               "--category", "settings")  # fmt: skip
    ada.git("checkout", "--quiet", "--", ".")
    ada.approve(said.id, "ben")
    weighing = ada("hull", "weigh", "001", "--part", "deck", "--mass-kg", "24.2", "--state", "trimmed").id
    team.share(ada)
    correct = ("record", "correct", weighing, "--set", "mass_kg=20", "--note", "lighter")
    assert cem(*correct).status == 1
    keys = {"kind": "weighing", "hull": "001", "part": "deck", "state": "trimmed", "replaces": weighing}
    by_hand(cem, "W-BBBBBB", cem.yard.repo.today, "mass_kg = 20.0\n", **keys)
    finding = told(team, cem, "correction-without-effect", record_path("W-BBBBBB"))
    masses = [row["mass_kg"] for row in ada("hull", "show", "001", "--json").json["weighings"]]
    assert masses == [24.2]
    answer(team, finding, "ben")


@pytest.mark.parametrize("kind", ["another kind", "a change", "a decision", "a verification", "nothing"])
def test_a_correction_of_what_is_not_corrected(team: Team, ada: Clone, kind: str) -> None:
    """By its own author even: of another kind, or of what is decided again; a change only by a new change."""
    trial = ada("trial", "log", *CRACK, "--severity", "2").id
    change = ada.change(THICKER)
    decision = ada("change", "show", change, "--json").json["decisions"][0]["id"]
    verification = ada(
        "change", "verify", change, "--hull", "001", "--outcome", "confirmed", "--meant", "--note", "n"
    ).id
    weighing = {"kind": "weighing", "hull": "001", "part": "deck", "state": "trimmed", "mass_kg": "24.0"}
    verified = {"kind": "verification", "about": change, "hull": "001", "outcome": "not-confirmed"}
    refused = {"kind": "decision", "about": change, "decision": "rejected",
               "decides": ada.blob(record_path(change))}  # fmt: skip
    letter, keys, earlier = {
        "another kind": ("W", weighing, trial),
        "a change": ("W", weighing, change),
        "a decision": ("D", refused, decision),
        "a verification": ("V", verified, verification),
        "nothing": ("W", weighing, "W-ZZZZZZ"),
    }[kind]
    before = ada("change", "show", change, "--json").json
    team.share(ada)
    path = record_path(f"{letter}-AAAAAA")
    text = record_text(ada.who, ada.yard.repo.today, **keys, replaces=earlier)
    ada.write(path, text.replace('mass_kg = "24.0"', "mass_kg = 24.0"))
    ada.commit("put right")
    assert ada("record", "correct", earlier, "--set", "note=x", "--note", "so").status in (0, 1, 2)
    team.share(ada)
    found = team.clone("ben").findings()
    finding = only({r: f for r, f in found.items() if r != "main-invalid"}, "correction-without-effect")
    assert (finding["file"], finding["by"]) == (path, "Ada Quay <ada@quay.example>")
    now = ada("change", "show", change, "--json").json
    assert {key: now[key] for key in ("state", "expected")} == {
        key: before[key] for key in ("state", "expected")
    }


def test_a_hold_lifted_by_its_logger(team: Team, ada: Clone, ben: Clone) -> None:
    trial = ada("trial", "log", *CRACK, "--severity", "4").id
    correct = ("record", "correct", trial, "--set", "severity=2", "--note", "seen too darkly")
    assert ada(*correct).status == 1
    keys = {"kind": "trial", "hull": "001", "zone": "deck/side", "text": "a crack", "observation": "crack"}
    by_hand(ada, "T-BBBBBB", ada.yard.repo.today, "severity = 2\n", replaces=trial, **keys)
    team.share(ada)
    found = ben.findings()
    assert list(found) == ["hold", "correction-without-effect"]
    assert ben(*correct).status == 0
    team.share(ben)
    finding = only(ada.findings(), "correction-without-effect")
    answer(team, finding, "cem")


def test_settings_loosened_without_a_decision(team: Team, ada: Clone, ben: Clone) -> None:
    """They have no effect: who proposed still does not approve, by command or by hand."""
    loose = SETTINGS + "\n[approval]\ndistinct_approver = false\n"
    ada.write("recipe-track.toml", loose)
    loosened = ada.commit("so that it goes faster")
    told(team, ada, "edit-not-decided", "recipe-track.toml")
    change = ada.propose(THICKER)
    assert ada("change", "approve", change).status == 1
    blob = ada.git("rev-parse", f"change/{change}:{record_path(change)}")
    ada.git("merge", "--quiet", "--no-ff", "-m", "mine", f"change/{change}")
    keys = {"kind": "decision", "about": change, "decision": "approved", "decides": blob}
    by_hand(ada, "D-AAAAAA", ada.yard.repo.today, **keys)
    team.share(ada)
    assert "approved-by-proposer" in ben.findings()
    ada.explain(loosened)
    team.share(ada)
    finding = only(ben.findings(), "approved-by-proposer")  # by the rules of that day
    assert finding["by"] == "Ada Quay <ada@quay.example>"
    ben.approve(change)  # someone who may decides on it again
    in_order(team, ben)
    later = ada.propose(STRONGER)
    ada.approve(later)  # now that this is decided
    in_order(team, ada)


def test_a_decision_under_settings_that_the_other_side_had_tightened(
    team: Team, ada: Clone, cem: Clone
) -> None:
    ada.write("recipe-track.toml", SETTINGS + '\n[approval]\napprovers = ["ben@quay.example"]\n')
    said = ada("change", "propose", "--title", "Ben decides", "--reason", "as agreed at the office",
               "--category", "settings")  # fmt: skip
    ada.git("checkout", "--quiet", "--", ".")
    ada.approve(said.id, "ben")
    ada.push()
    change = cem.propose(STRONGER)
    cem.approve(change, "ada")
    assert cem.findings() == {}
    cem.pull("--no-rebase")
    team.share(cem)
    finding = only(ada.findings(), "approver-not-entitled")
    assert "Ada Quay" in finding["message"]
    answer(team, finding, "ben")


@pytest.mark.parametrize("how", ["moved", "deleted", "no commit", "lightweight"])
def test_a_release_tag_moved_or_deleted(team: Team, ada: Clone, ben: Clone, how: str) -> None:
    ada.change(THICKER)
    team.share(ada)
    tag, stood = ada.git("rev-parse", "refs/tags/demo/r1"), ada.git("rev-parse", "demo/r1^{commit}")
    assert ben.findings() == {}
    if how == "deleted":
        ben.git("tag", "-d", "demo/r1")
    elif how == "lightweight":
        ben.git("tag", "-f", "demo/r1", "demo/r1^{commit}")
    else:
        ben.git("tag", "-f", "-a", "-m", "r1", "demo/r1", "HEAD" if how == "moved" else "HEAD:models")
    rules = {"deleted": "release-deleted", "no commit": "release-no-commit"}
    finding = only(ben.findings(), rules.get(how, "release-moved"))
    assert finding["subject"] == "demo/r1"
    if how == "lightweight":
        assert "a lightweight tag of a commit, which says neither who" in finding["message"]
    elif how != "no commit":
        assert stood in str(finding) or stood[:10] in str(finding)
    ben.git("update-ref", "refs/tags/demo/r1", tag)
    assert ben.findings() == {}


def test_an_attachment_changed_or_gone(team: Team, ada: Clone, cem: Clone) -> None:
    picture = team.folder / "crack.jpg"
    picture.write_bytes(b"\xff\xd8\xff\xe0 a picture")
    trial = ada("trial", "log", *CRACK, "--severity", "2", "--attach", str(picture)).id
    path = ada.git("ls-files", "*.jpg")
    team.share(ada)
    cem.write(path, b"\xff\xd8\xff\xe0 another")
    cem.commit("sharper")
    finding = told(team, cem, "attachment-altered", path)
    assert finding["subject"] == trial
    ada.git("rm", "--quiet", path)
    ada.commit("away with it")
    assert "is gone" in only(ada.findings(), "attachment-altered")["message"]
    ada.write(path, picture.read_bytes())
    ada.commit("back")
    in_order(team, ada)


def test_a_zone_with_minima_that_vanishes(team: Team, ada: Clone, cem: Clone) -> None:
    ada.yard.edit(SIDE, "[panel]", REQUIRED.strip().replace("6.0", "600.0") + "\n\n[panel]")
    said = ada("change", "propose", "--title", "Minima", "--reason", "the registry asks for them",
               "--category", "document")  # fmt: skip
    ada.git("checkout", "--quiet", "--", ".")
    checked = ada("change", "approve", said.id, "--reverified", "SC-014", "--body", "Registry", who="ben")
    assert checked.status == 0, checked.err
    team.share(ada)
    (cem.root / SIDE).unlink()
    refused = cem("change", "propose", "--title", "Simpler", "--reason", "one zone less to lay up",
                  "--category", "layup")  # fmt: skip
    assert (refused.status, "deck/side" in refused.err) == (1, True)
    gone = cem.commit("one zone less")
    team.share(cem)
    found = ada.findings()
    assert sorted(found) == ["edit-not-decided", "zone-vanished"]
    assert found["zone-vanished"][0]["subject"] == "demo deck/side"
    ada.explain(gone)
    ada.change((COAMING, 'name = "Coaming"', 'name = "Coaming"\nformerly = ["deck/side"]'))
    in_order(team, ada)


@pytest.mark.parametrize("severity", ["4", "2"])
def test_a_zone_on_hold_or_with_an_open_observation_that_vanishes(
    team: Team, ada: Clone, cem: Clone, severity: str
) -> None:
    trial = ada("trial", "log", *CRACK, "--severity", severity).id
    team.share(ada)
    (cem.root / SIDE).unlink()
    refused = cem("change", "propose", "--title", "Simpler", "--reason", "one zone less to lay up",
                  "--category", "layup")  # fmt: skip
    assert (refused.status, "demo deck/side" in refused.err) == (1, True)
    gone = cem.commit("one zone less")
    ada.git("pull", "--quiet", "../cem", "main")
    ada.explain(gone)
    finding = only({r: f for r, f in ada.findings().items() if r != "hold"}, "zone-vanished")
    assert trial in finding["message"]
    said = ada("trial", "decide", trial, "--decision", "left-as-is", "--note", "of the gelcoat", who="cem")
    assert said.status == 0
    assert ada.findings() == {}


def test_an_approval_by_who_made_the_commits(team: Team, ada: Clone, ben: Clone) -> None:
    """The record names Ada, and Ben, who made the edit, decides; the command refuses that."""
    ada.git("checkout", "--quiet", "-b", "change/C-ABCDEF")
    before = ada.blob(SIDE)
    ada.edit(THICKER)
    ada.git("commit", "--quiet", "--all", "-m", "thicker", who="ben")
    edits = [(SIDE, before, ada.blob(SIDE))]
    ada.write(record_path("C-ABCDEF"), change_text("ada", ada.yard.repo.today, edits))
    ada.commit("Propose C-ABCDEF")
    ada.push("change/C-ABCDEF")
    ada.git("checkout", "--quiet", "main")
    ben.git("fetch", "--quiet")
    assert ben("change", "approve", "C-ABCDEF").status == 1
    ben.git("merge", "--quiet", "--no-ff", "-m", "mine", "origin/change/C-ABCDEF")
    keys = {"kind": "decision", "about": "C-ABCDEF", "decision": "approved"}
    by_hand(ben, "D-AAAAAA", ben.yard.repo.today, **keys, decides=ben.blob(record_path("C-ABCDEF")))
    team.share(ben)
    finding = only(team.clone("cem").findings(), "approved-by-proposer")
    assert finding["by"] == "Ben Slip <ben@quay.example>"
    answer(team, finding, "cem")


def test_an_edit_beside_one_that_breaks_the_model(team: Team, ada: Clone, cem: Clone) -> None:
    """A model that cannot be read any more does not hide what else was done to it."""
    cem.yard.edit("models/demo/model.toml", "origin", "orign")
    cem.edit(STRONGER)
    slip = cem.commit("slip")
    team.share(cem)
    found = ada.findings()
    assert [one["file"] for one in found["edit-not-decided"]] == [COAMING, "models/demo/model.toml"]
    assert "release-deleted" not in found
    ada.git("revert", "--no-edit", "HEAD")
    ada.explain(slip, ada.head(), approver="ben")
    in_order(team, ada)


def test_habits_are_settings_that_need_no_decision(team: Team, ada: Clone, cem: Clone) -> None:
    """Separators and the like; nobody is told of them, and main is valid with them."""
    habits = '\n[csv]\ndecimal = "comma"\n\n[alternatives]\nmost = 5\n\n[lessons]\nquiet_days = 90\n'
    cem.write("recipe-track.toml", SETTINGS + habits)
    cem.commit("as the office has it")
    in_order(team, cem)
    assert cem("check").status == 0
    cem.yard.edit("recipe-track.toml", "format = 1", "format = 1 # one")
    cem.commit("and a word")
    told(team, cem, "edit-not-decided", "recipe-track.toml")


def test_settings_that_name_another_main_branch(team: Team, ada: Clone, cem: Clone) -> None:
    """One that is not there hides nothing of what main holds."""
    cem.yard.edit("recipe-track.toml", '"main"', '"mainn"')
    slip = cem.commit("slip")
    told(team, cem, "edit-not-decided", "recipe-track.toml")
    ada.git("revert", "--no-edit", "HEAD")
    ada.explain(slip, ada.head(), approver="ben")
    in_order(team, ada)


def test_an_invalid_main(team: Team, ada: Clone, cem: Clone) -> None:
    cem.yard.edit(SIDE, '"pvc-80"', '"pvc-8"')
    slip = cem.commit("slip")
    team.share(cem)
    found = ada.findings()
    assert list(found) == ["main-invalid", "edit-not-decided"]
    assert found["main-invalid"][0]["file"] == SIDE
    assert "main-invalid" in found["main-invalid"][0]["id"]
    ada.git("revert", "--no-edit", "HEAD")
    ada.explain(slip, ada.head(), approver="ben")
    in_order(team, ada)
