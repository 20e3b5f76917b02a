"""Which commit counts as main's tip, and which files main has gone on with, in a clone."""

from pathlib import Path

import pytest

from recipe_track.history.proposals import work_changes
from recipe_track.history.refs import read_refs
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo

DECK, HULL = "models/pb/deck/side.toml", "models/pb/hull/bottom.toml"


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    repo = GitRepo.create(tmp_path)
    repo.commit("First issue", files={DECK: "first\n", HULL: "first\n"})
    return repo


def main_of(repo: GitRepo) -> str | None:
    with repo.acting(), open_repository(repo.root) as opened:
        return read_refs(opened, "main").main


def behind(repo: GitRepo) -> dict[str, bool]:
    with repo.acting(), open_repository(repo.root) as opened:
        return {change.path: change.behind for change in work_changes(opened, "main")}


def test_the_own_main_counts_before_a_fetched_one(yard: GitRepo) -> None:
    """What is fetched has not been merged: the work tree and the next record stand on the own main."""
    clone = yard.clone("clone")
    later = yard.commit("main goes on", files={DECK: "second\n"})
    clone.git("fetch", "--quiet")
    assert main_of(clone) == clone.head() != later
    clone.git("checkout", "--quiet", "--detach")
    clone.git("branch", "--quiet", "-D", "main")
    assert main_of(clone) == later


def test_origin_counts_before_another_remote(yard: GitRepo) -> None:
    clone = yard.clone("clone")
    other = yard.clone("other")
    ahead = other.commit("ahead", files={DECK: "other\n"})
    clone.git("remote", "add", "a-friend", other.root.as_uri())
    clone.git("fetch", "--quiet", "a-friend")
    clone.git("checkout", "--quiet", "--detach")
    clone.git("branch", "--quiet", "-D", "main")
    assert main_of(clone) == yard.head()
    clone.git("remote", "rename", "origin", "b-yard")
    assert main_of(clone) == ahead  # by name, where none is called origin


def test_a_file_that_the_own_branch_took_over_from_main_is_not_behind(yard: GitRepo) -> None:
    """Main's edit may come in by a merge, a cherry-pick or by hand: what counts is what the branch holds."""
    yard.branch("feature")
    yard.commit("the same by hand", files={DECK: "second\n"})
    yard.checkout("main")
    yard.commit("main goes on", files={DECK: "second\n", HULL: "second\n"})
    yard.checkout("feature")
    yard.write(DECK, "third\n")
    yard.write(HULL, "third\n")
    assert behind(yard) == {DECK: False, HULL: True}


def test_a_branch_without_a_commit_is_behind_with_all_that_main_holds(yard: GitRepo) -> None:
    yard.git("checkout", "--quiet", "--orphan", "from-scratch")
    yard.write(DECK, "third\n")
    assert behind(yard) == {DECK: True}
    yard.write(HULL, "third\n")
    assert behind(yard) == {DECK: True, HULL: True}


def test_a_name_may_hold_anything_that_a_name_can(yard: GitRepo) -> None:
    odd = 'models/pb/deck/a\tb "c" ü\n.toml'
    yard.commit("odd", files={odd: "first\n"})
    assert behind(yard) == {}
    yard.write(odd, "second\n")
    assert behind(yard) == {odd: False}
