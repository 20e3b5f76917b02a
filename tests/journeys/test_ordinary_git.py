"""An ordinary week of git: whatever way changes travel between clones, all of them stay decided."""

import os
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.journeys.gitrepo import PEOPLE
from tests.journeys.team import (
    BOTTOM,
    STRONGER,
    THICKER,
    WIDER,
    Clone,
    Edit,
    Team,
    answers,
    in_step,
    new_team,
)
from tests.journeys.yard import COAMING, SIDE, only, record_path, record_text

ADA, BEN, CEM = (f"{name} <{mail}>" for name, mail in PEOPLE.values())
CRACK = ("--zone", "deck/side", "--observation", "crack", "--severity", "2", "--text", "a crack")


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


def decided(clone: Clone, *edits: Edit) -> tuple[str, dict[str, Any]]:
    """A change approved in a clone, and what the clone says then."""
    change = clone.change(*edits)
    return change, answers(clone, [change])


def two_lines(ada: Clone, ben: Clone, other: Edit) -> dict[str, Any]:
    """Ada has a change approved and pushed while Ben has one approved and does not know of hers."""
    _, before = decided(ada, THICKER)
    ada.push()
    change, his = decided(ben, other)
    return before | {change: his[change]}


def proposal(clone: Clone, change: str, tip: str = "main") -> tuple[str, str]:
    """The commits of an approved change: what was proposed, and the decision on top of it."""
    decision = clone.head(f"{tip}^2")
    return clone.head(f"{decision}^"), decision


def test_a_fast_forward(team: Team, ada: Clone) -> None:
    _, before = decided(ada, THICKER)
    assert in_step(team, ada, before) == before


@pytest.mark.parametrize(
    ("how", "other"),
    [
        ("--no-rebase", STRONGER),
        ("--no-rebase", WIDER),  # the file moved on both sides
        ("--rebase", WIDER),
        ("--rebase=merges", WIDER),
    ],
)
def test_a_pull_where_both_sides_moved(team: Team, ada: Clone, ben: Clone, how: str, other: Edit) -> None:
    before = two_lines(ada, ben, other)
    ben.pull(how)
    in_step(team, ben, before)


def test_pulls_in_both_directions_and_twice_over(team: Team, ada: Clone, ben: Clone) -> None:
    """Criss-cross: each takes what the other had before, and then what the other has made of it."""
    _, before = decided(ada, THICKER)
    change, his = decided(ben, WIDER)
    hers = ada.head()
    ada.pull("--no-rebase", "../ben", "main")
    ben.pull("--no-rebase", "../ada", hers)
    assert ada.head() != ben.head()
    for clone, other in ((ada, STRONGER), (ben, (BOTTOM, "plies = 3", "plies = 2"))):
        more, told = decided(clone, other)
        before |= {change: his[change], more: told[more]}
    hers = ada.head()
    ada.pull("--no-rebase", "../ben", "main")
    ben.pull("--no-rebase", "../ada", hers)
    ben.pull("--no-rebase", "../ada", "main")
    in_step(team, ben, before)


@pytest.mark.parametrize("moved", [False, True], ids=["main as it was", "main moved"])
def test_a_squash_of_a_proposal_with_its_decision(team: Team, ada: Clone, ben: Clone, moved: bool) -> None:
    """Ben, who approved it, puts it on main as one commit of Ada's."""
    _, before = decided(ada, THICKER)
    ada.push("main:refs/heads/aside")
    if moved:
        more, his = decided(ben, WIDER)
        before |= {more: his[more]}
    ben.git("fetch", "--quiet")
    ben.git("merge", "--quiet", "--squash", "origin/aside")
    ben.git("commit", "--quiet", "-m", "Thicker core", f"--author={ADA}")
    in_step(team, ben, before)


def several_commits(ada: Clone) -> str:
    """A proposal in three commits, one of them taken back in part by the next; its record says all three."""
    change, edits = "C-ABCDEF", []
    ada.git("checkout", "--quiet", "-b", f"change/{change}")
    for path, old, new in (THICKER, (SIDE, "thickness_mm = 25", "thickness_mm = 23"), STRONGER):
        before = ada.blob(path)
        ada.edit((path, old, new))
        ada.commit("step by step")
        edits.append((path, before, ada.blob(path)))
    keys = {"model": "demo", "title": "In steps", "reason": "too soft underfoot", "category": "layup"}
    text = record_text("ada", ada.yard.repo.today, kind="change", **keys)
    for path, before, after in edits:
        text += f'\n[[edit]]\npath = "{path}"\nbefore = "{before}"\nafter = "{after}"\n'
    ada.write(record_path(change), text)
    ada.commit(f"Propose {change}")
    ada.git("checkout", "--quiet", "main")
    return change


@pytest.mark.parametrize("how", ["merged", "rebased", "squashed"])
def test_a_proposal_of_several_commits(team: Team, ada: Clone, ben: Clone, how: str) -> None:
    change = several_commits(ada)
    ada.push(f"change/{change}")
    _, before = decided(ada, WIDER)
    ada.push()
    ben.git("fetch", "--quiet")
    ben.approve(change)
    his = answers(ben, [change])
    before |= {change: his[change], "why": his["why"]}
    if how == "squashed":
        decision = ben.head("main^2")
        del before["why"]  # main never held what lay between
        ben.git("reset", "--quiet", "--hard", "origin/main")
        ben.git("merge", "--quiet", "--squash", decision)
        ben.git("commit", "--quiet", "-m", "In steps", f"--author={ADA}")
    else:
        ben.pull("--rebase" if how == "rebased" else "--no-rebase")
    in_step(team, ben, before)


def test_a_decided_proposal_merged_by_hand(team: Team, ada: Clone, ben: Clone, cem: Clone) -> None:
    """What a forge does with the button, by whoever presses it."""
    _, before = decided(ada, THICKER)
    ada.push("main^2:refs/heads/decided")
    more, his = decided(cem, WIDER)
    cem.git("fetch", "--quiet")
    cem.git("merge", "--quiet", "--no-ff", "-m", "Merge pull request", "origin/decided")
    in_step(team, cem, before | {more: his[more]})


def test_a_decided_proposal_squashed_by_someone_else(team: Team, ada: Clone, ben: Clone, cem: Clone) -> None:
    """Records of others wait for a word of those they name; the edits wait with the decision."""
    change, before = decided(ada, THICKER)
    decision = before[change]["decisions"][0]["id"]
    ada.push("main^2:refs/heads/decided")
    cem.git("fetch", "--quiet")
    cem.git("merge", "--quiet", "--squash", "origin/decided")
    cem.commit("Thicker core (#12)")
    team.share(cem)
    waiting = ben.findings()
    assert list(waiting) == ["record-by-another"]
    assert sorted(one["subject"] for one in waiting["record-by-another"]) == sorted([change, decision])
    assert ada("record", "confirm", change).status == 0
    team.share(ada)
    assert f"record confirm {decision}" in only(ben.findings(), "record-by-another")["remedy"]
    assert ben("record", "confirm", decision).status == 0
    in_step(team, ben, before)


def test_a_proposal_picked_with_its_decision(team: Team, ada: Clone, ben: Clone) -> None:
    change, before = decided(ada, THICKER)
    picked = proposal(ada, change)
    ada.push("main:refs/heads/aside")
    more, his = decided(ben, WIDER)
    ben.git("fetch", "--quiet")
    ben.git("cherry-pick", *picked)
    in_step(team, ben, before | {more: his[more]})


def test_a_proposal_picked_on_both_sides(team: Team, ada: Clone, ben: Clone, cem: Clone) -> None:
    change, before = decided(ada, THICKER)
    picked = proposal(ada, change)
    ada.push("main:refs/heads/aside")
    for clone, other in ((ben, WIDER), (cem, STRONGER)):
        more, told = decided(clone, other)
        before |= {more: told[more]}
        clone.git("fetch", "--quiet")
        clone.git("cherry-pick", *picked)
    ben.push()
    cem.pull("--no-rebase")
    in_step(team, cem, before)


def test_one_change_approved_in_two_clones(team: Team, ada: Clone, ben: Clone, cem: Clone) -> None:
    change = ada.propose(THICKER)
    ada.push(f"change/{change}")
    decisions = []
    for clone in (ben, cem):
        clone.git("fetch", "--quiet")
        decisions.append(clone.approve(change))
    before = answers(ben, [change])
    del before["why"]  # says who approved: the last of them
    ben.push()
    cem.pull("--no-rebase")
    shown = cem("change", "show", change, "--json").json
    assert sorted(one["id"] for one in shown["decisions"]) == sorted(decisions)
    before[change] = shown
    in_step(team, cem, before)


def test_a_decided_revert(team: Team, ada: Clone, ben: Clone) -> None:
    """Someone who has not heard of the revert does not revive what it took back."""
    change, _ = decided(ada, THICKER)
    team.share(ada)
    back, before = decided(ada, (SIDE, "thickness_mm = 25", "thickness_mm = 20"))
    ada.push()
    more, his = decided(ben, WIDER)
    ben.pull("--no-rebase")
    told = in_step(team, ben, {"hull": before["hull"], back: before[back], more: his[more]})
    assert "thickness_mm = 20" in (ben.root / SIDE).read_text()
    assert change not in str(told["why"]["layers"][3]["change"])


def test_a_revert_by_git_decided_afterwards(team: Team, ada: Clone, ben: Clone) -> None:
    decided(ada, THICKER)
    ada.git("revert", "--no-edit", "-m", "1", "HEAD", "--no-commit")
    ada.git("checkout", "--quiet", "HEAD", "--", "records")
    commit = ada.commit("Back to 20 mm")
    assert list(ada.findings()) == ["edit-not-decided"]
    change = ada.explain(commit)
    in_step(team, ada, answers(ada, [change]))


@pytest.mark.parametrize("how", ["--no-rebase", "--rebase"])
def test_a_zone_renamed_here_and_edited_there(team: Team, ada: Clone, ben: Clone, how: str) -> None:
    change, his = decided(ben, THICKER)
    new = SIDE.replace("side", "walkway")
    ada.git("mv", SIDE, new)
    ada.edit((new, 'name = "Side deck"', 'formerly = ["deck/side"]\nname = "Side deck"'))
    said = ada("change", "propose", "--title", "Call it the walkway", "--reason", "as the drawing has it",
               "--category", "correction")  # fmt: skip
    ada.git("reset", "--quiet", "--hard")
    ada.approve(said.id, "cem")
    before = answers(ada, [said.id], "deck/walkway")
    ben.push()
    ada.pull(how)
    told = in_step(team, ada, {said.id: before[said.id], "history": before["history"]}, "deck/walkway")
    core = told["why"]["layers"][3]
    assert (core["change"], core["layer"]["thickness_mm"]) == (change, 25.0)
    shown = ada("change", "show", change, "--json").json
    assert shown["expected"] == his[change]["expected"]


def test_line_ends_normalised(team: Team, ada: Clone, ben: Clone) -> None:
    """One works with line ends of another system, then all are made alike."""
    _, before = decided(ada, THICKER)
    ada.push()
    ben.pull()
    for path in (SIDE, COAMING, "prices.toml"):
        ben.write(path, (ben.root / path).read_bytes().replace(b"\n", b"\r\n"))
    ben.commit("another editor")
    in_step(team, ben, before)
    change, hers = decided(ada, WIDER)
    before |= {change: hers[change], "why": hers["why"]}
    ada.write(".gitattributes", "*.toml text=auto eol=lf\n")
    ada.git("add", "--renormalize", ".")
    ada.commit("line ends of one kind")
    in_step(team, ada, before)


def test_a_release_made_on_one_side(team: Team, ada: Clone, ben: Clone) -> None:
    change, before = decided(ada, THICKER)
    assert ada("release", "demo").id == "r2"
    before = answers(ada, [change])
    ada.push()
    more, his = decided(ben, WIDER)
    ben.pull("--no-rebase")
    told = in_step(team, ben, before | {more: his[more], "why": his["why"] and before["why"]})
    assert told[change]["release"] == "r2"
    assert told[more]["release"] is None


def test_a_release_made_on_both_sides(team: Team, ada: Clone, ben: Clone) -> None:
    change, _ = decided(ada, THICKER)
    released = ada("release", "demo")
    assert "git push --atomic origin main demo/r2" in released.err
    ada.git("push", "--quiet", "--atomic", "origin", "main", "demo/r2")
    more, his = decided(ben, WIDER)
    assert ben("release", "demo").id == "r2"
    assert ben.run("push", "--atomic", "origin", "main", "demo/r2").returncode != 0
    ben.pull("--no-rebase")
    ben.git("fetch", "--quiet", "--force", "--tags")  # take the other's, release again
    assert ben("release", "demo").id == "r3"
    told = in_step(team, ben, {more: {**his[more], "release": "r3", "state": "released"}})
    assert answers(ada, [change])[change]["release"] == "r2"
    assert told["history"]["revisions"][0]["label"] == "r3"


def offline(team: Team) -> dict[str, str]:
    """Each of the three records something where there is no net; who wrote which."""
    ada, ben, cem = team.clones.values()
    trial = ada("trial", "log", "--hull", "001", *CRACK).id
    deviation = ben("deviation", "report", "001", "--zone", "deck/coaming", "--type",
                    "deviation-permit", "--text", "short of cloth").id  # fmt: skip
    weighing = cem("hull", "weigh", "001", "--part", "deck", "--mass-kg", "24.2", "--state", "trimmed").id
    return {trial: "ada", deviation: "ben", weighing: "cem"}


@pytest.mark.parametrize("how", ["--no-rebase", "--rebase"])
def test_records_made_offline_by_several(team: Team, how: str) -> None:
    records = offline(team)
    ada, ben, cem = team.clones.values()
    ada.push()
    for clone in (ben, cem):
        clone.pull(how)
        clone.push()
    team.share(cem)
    told = {clone.who: (clone.findings(), clone("hull", "show", "001").out) for clone in team.clones.values()}
    assert told["ada"] == told["ben"] == told["cem"]
    assert list(told["ada"][0]) == ["hold"]  # the deviation waits for a decision; nothing else
    shown = told["ada"][1]
    assert all(record in shown for record in records if record[0] != "W")
    assert "24.2" in shown


def test_records_of_several_brought_by_a_squash(team: Team) -> None:
    """All but decisions count at once; each is confirmed by whom it names."""
    ada, ben, cem = team.clones.values()
    trial = ben("trial", "log", "--hull", "001", *CRACK).id
    decision = ben(
        "trial", "decide", trial, "--decision", "left-as-is", "--note", "of the gelcoat", who="cem"
    ).id
    ben.push("main:refs/heads/aside")
    ada.git("fetch", "--quiet")
    ada.git("merge", "--quiet", "--squash", "origin/aside")
    ada.commit("What came in")
    team.share(ada)
    found = cem.findings()["record-by-another"]
    assert sorted(one["subject"] for one in found) == sorted([trial, decision])
    assert ada("trial", "show", trial, "--json").json["state"] == "open"
    refused = ada("record", "confirm", trial)
    assert (refused.status, BEN in refused.err) == (1, True)
    assert ben("record", "confirm", trial).status == 0
    team.share(ben)
    assert cem("record", "confirm", decision).status == 0
    in_step(team, cem, {})
    assert ada("trial", "show", trial, "--json").json["state"] == "answered"


def move(clone: Clone, part: str, state: str, *options: str) -> str:
    return clone("hull", "part", "001", "--part", part, "--state", state, *options).id


@pytest.mark.parametrize("how", ["--no-rebase", "--rebase"])
def test_a_hull_worked_on_from_two_clones(team: Team, ada: Clone, ben: Clone, how: str) -> None:
    """Two people who move two parts never collide, nor two who say the same of one."""
    for clone, part in ((ada, "deck"), (ben, "hull")):
        move(clone, part, "in-mould" if part == "hull" else "demoulded")
    move(ada, "deck", "fitted")
    ada.push()
    ben.pull(how)
    told = in_step(team, ben, {})
    assert {part["part"]: part["state"] for part in told["hull"]["parts"]} == {
        "deck": "fitted", "hull": "in-mould",
    }  # fmt: skip
    move(ada, "hull", "demoulded")
    move(ben, "hull", "demoulded")
    ada.push()
    ben.pull(how)
    in_step(team, ben, {})


def test_two_who_say_different_things_of_one_part(team: Team, ada: Clone, ben: Clone) -> None:
    move(ada, "deck", "demoulded")
    move(ben, "deck", "scrapped", "--note", "dropped")
    ada.push()
    ben.pull("--no-rebase")
    team.share(ben)
    assert only(ada.findings(), "steps-disagree") == only(ben.findings(), "steps-disagree")
    refused = ada("hull", "part", "001", "--part", "deck", "--state", "fitted")
    assert (refused.status, "--note" in refused.err) == (1, True)
    move(ada, "deck", "demoulded", "--note", "it was the deck of hull 002 that was dropped")
    told = in_step(team, ada, {})
    assert told["hull"]["parts"][0]["state"] == "demoulded"


def test_what_git_asks_a_hand_for_is_a_new_edit(team: Team, ada: Clone, ben: Clone) -> None:
    decided(ada, THICKER)
    ada.push()
    decided(ben, (SIDE, "thickness_mm = 20", "thickness_mm = 30"))
    assert ben.run("pull", "--no-rebase").returncode != 0
    ours = (ben.root / SIDE).read_text().split("<<<<<<<")[0]
    ben.git("checkout", "--quiet", "--theirs", "--", SIDE)
    ben.edit((SIDE, "thickness_mm = 25", "thickness_mm = 28"))
    assert (ben.root / SIDE).read_text().startswith(ours)
    merge = ben.commit("settled: 28 mm")
    found = ben.findings()
    assert list(found) == ["edit-not-decided"]
    change = ben.explain(merge)
    in_step(team, ben, answers(ben, [change]))


def test_a_merge_by_our_driver(team: Team, ada: Clone, ben: Clone, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neighbouring lines of a layup, over which git alone would have to ask."""
    monkeypatch.setenv("PATH", f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}")
    assert ben("git-setup").status == 0
    before = two_lines(ada, ben, (SIDE, "angle_deg = 30", "angle_deg = 45"))
    del before["why"]
    ben.pull("--no-rebase")
    told = in_step(team, ben, before)
    assert {layer["change"] for layer in told["why"]["layers"]} == {None, *before} - {
        "audit",
        "hull",
        "history",
    }


def test_a_shallow_clone_says_what_it_cannot_see(team: Team, ada: Clone, tmp_path: Path) -> None:
    ada.edit(STRONGER)
    ada.commit("by hand")
    decided(ada, THICKER)
    ada.push()
    url = (team.folder / "hub.git").as_uri()
    ada.git("clone", "--quiet", "--depth", "2", url, str(team.folder / "shallow"))
    told = ada("-C", str(team.folder / "shallow"), "audit", "--json")
    assert told.json["complete"] is False
    assert [one["rule"] for one in told.json["findings"]] == []
    assert list(ada.findings()) == ["edit-not-decided"]
