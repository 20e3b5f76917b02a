"""`history` on real repositories: reasons, the figures' course, broken revisions, shallow clones, bare ones."""

import json
from pathlib import Path
from typing import Any

import pytest

from recipe_track.cli.main import run
from recipe_track.review.past.course import course_of
from recipe_track.workspace import open_workspace
from tests.journeys.gitrepo import GitRepo, environment
from tests.journeys.yard import COAMING, explained, new_yard, thicken
from tests.recipes import WORKED

SIDE = "models/demo/deck/side.toml"


@pytest.fixture
def repo(tmp_path: Path) -> GitRepo:
    made = GitRepo.create(tmp_path)
    for path in sorted(WORKED.rglob("*.toml")):
        made.write(path.relative_to(WORKED).as_posix(), path.read_text(encoding="utf-8"))
    made.commit("First issue\n\nReason: first issue of the demo")
    return made


def text(repo: GitRepo) -> str:
    return (repo.root / SIDE).read_text(encoding="utf-8")


def history(capsys: pytest.CaptureFixture[str], where: Path, env: dict[str, str], *args: str) -> Any:
    capsys.readouterr()
    with environment(env):
        assert run(["-C", str(where), "history", "--json", *args]) == 0
    return json.loads(capsys.readouterr().out)


def test_revisions_newest_first_with_labels_reasons_and_course(
    repo: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    repo.tag("demo/r1")
    repo.write(SIDE, text(repo).replace("thickness_mm = 20", "thickness_mm = 25"))
    repo.commit("Thicker core\n\nReason: too flexible")
    repo.write("README", "not a recipe")
    repo.commit("Say hello")
    found = history(capsys, repo.root, repo.env())
    assert found["complete"] is True
    assert [r["label"] for r in found["revisions"]] == ["r1+1", "r1"]
    newest, oldest = found["revisions"]
    assert newest["changes"] == [{"change": None, "reason": "too flexible"}]
    assert newest["zones"] == ["deck/side"]
    assert newest["mass_kg"] > oldest["mass_kg"]
    # worked by hand: 5 mm of 80 kg/m³ and 12 g/m²mm of resin on 2.4 m²
    assert newest["mass_kg"] - oldest["mass_kg"] == pytest.approx(2.4 * 5 * (0.080 + 0.012), rel=1e-9)


def test_a_broken_revision_is_shown_as_one_and_stops_nothing(
    repo: GitRepo, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = text(repo)
    repo.write(SIDE, whole.replace("area_m2 = 2.4", "area_m2 = 2,4"))
    repo.commit("Break it")
    repo.write(SIDE, whole.replace("area_m2 = 2.4", "area_m2 = 2.5"))
    repo.commit("Mend it")
    found = history(capsys, repo.root, repo.env())
    masses = [r["mass_kg"] for r in found["revisions"]]
    assert masses[1] is None
    assert masses[0] is not None
    assert masses[2] is not None
    (problem,) = found["revisions"][1]["problems"]
    assert (problem["file"], problem["line"]) == (SIDE, 2)
    with environment(repo.env()):
        assert run(["-C", str(repo.root), "history"]) == 0
    assert "cannot be read" in capsys.readouterr().out


def test_a_zone_is_followed_through_its_names(repo: GitRepo, capsys: pytest.CaptureFixture[str]) -> None:
    new = "models/demo/deck/side-deck.toml"
    moved = 'formerly = ["deck/side"]\n' + text(repo)
    (repo.root / SIDE).unlink()
    repo.write(new, moved)
    repo.commit("Call it side deck")
    found = history(capsys, repo.root, repo.env(), "deck/side-deck")
    assert [r["figures"]["zone"] for r in found["revisions"]] == ["deck/side-deck", "deck/side"]


def test_a_shallow_clone_says_so(repo: GitRepo, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    repo.write(SIDE, text(repo).replace("thickness_mm = 20", "thickness_mm = 25"))
    repo.commit("Thicker core")
    repo.git("clone", "--quiet", "--depth=1", f"file://{repo.root}", str(tmp_path / "shallow"))
    assert history(capsys, tmp_path / "shallow", repo.env())["complete"] is False
    with environment(repo.env()):
        run(["-C", str(tmp_path / "shallow"), "history"])
    assert "shallow" in capsys.readouterr().out


def test_a_bare_repository_and_a_linked_worktree_are_read(
    repo: GitRepo, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    repo.git("clone", "--quiet", "--bare", str(repo.root), str(tmp_path / "bare.git"))
    repo.git("worktree", "add", "--quiet", str(tmp_path / "linked"), "-b", "try")
    whole = history(capsys, repo.root, repo.env())
    for place in (tmp_path / "bare.git", tmp_path / "linked"):
        assert history(capsys, place, repo.env())["revisions"] == whole["revisions"]
    with environment(repo.env()):
        assert run(["-C", str(tmp_path / "bare.git"), "figures", "--json"]) == 0
        assert json.loads(capsys.readouterr().out)["revision"]["commit"] == repo.head()
        assert run(["-C", str(tmp_path / "bare.git"), "check"]) == 0
        assert run(["-C", str(tmp_path / "bare.git"), "figures", "--at", "working"]) == 2


def test_a_merge_that_joins_two_lines_says_what_it_joined(tmp_path: Path) -> None:
    """Each line's change is counted from what it was made on, not from the row below it."""
    yard = new_yard(tmp_path)
    yard.repo.branch("side")
    thicken(yard, 25)
    theirs = yard.repo.commit("core 25 mm")
    yard.repo.checkout("main")
    yard.edit(COAMING, "thickness_mm = ", "plies = 2, thickness_mm = ")
    ours = yard.repo.commit("coaming")
    merge = yard.repo.merge("side")
    change, other = explained(yard, theirs), explained(yard, ours)
    rows = {row["commit"]: row for row in yard("history", "--json").json["revisions"]}
    assert [rows[commit]["joins"] for commit in (merge, ours, theirs)] == [True, False, False]
    assert [row["change"] for row in rows[merge]["changes"]] == [change]
    assert [row["change"] for row in rows[ours]["changes"]] == [other]
    assert f"joins {change}" in yard("history").out
    assert f"joins {change}" in yard("history", "--csv").out
    with yard.repo.acting(), open_workspace(yard.root) as ws:
        entries = {entry.revision.commit: entry for entry in course_of(ws, None).entries}
        first = next(commit for commit, entry in entries.items() if entry.base is None)
        assert {entries[commit].base for commit in (ours, theirs)} == {first}
        assert entries[merge].base == ours
        # one of the two holds not the other, whichever is listed later; the merge holds all
        assert [entries[str(commit)].drawn for commit in (first, merge)] == [True, True]
        assert sorted(entries[commit].drawn for commit in (ours, theirs)) == [False, True]


def test_before_the_first_commit_there_is_no_course_yet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = GitRepo.create(tmp_path)
    for path in sorted(WORKED.rglob("*.toml")):
        made.write(path.relative_to(WORKED).as_posix(), path.read_text(encoding="utf-8"))
    with environment(made.env()):
        assert run(["-C", str(made.root), "history"]) in (0, 2)
    assert "mistake of the program" not in capsys.readouterr().err
