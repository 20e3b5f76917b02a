"""Where a branch is checked out, in every way in which a work tree and its git directory can lie apart."""

import shutil
import subprocess
from pathlib import Path

import pytest

from recipe_track.errors import Refused
from recipe_track.history.checkouts import refuse_while_rebased, worktrees_on
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo

MAIN = "refs/heads/main"


def test_work_trees_that_have_a_branch_are_found(yard: GitRepo) -> None:
    linked = yard.worktree("linked", "-b", "side")
    with yard.acting(), open_repository(yard.root) as repo:
        assert worktrees_on(repo, MAIN) == (yard.root,)
        assert worktrees_on(repo, "refs/heads/side") == (linked.root,)
        assert worktrees_on(repo, "refs/heads/nowhere") == ()


def test_a_branch_that_is_being_rebased_is_left_alone(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        refuse_while_rebased(repo, MAIN)
        yard.write(".git/rebase-merge/head-name", f"{MAIN}\n")
        with pytest.raises(Refused, match="is being rebased"):
            refuse_while_rebased(repo, MAIN)


def found(tree: GitRepo) -> tuple[Path, ...]:
    """Where main is checked out, seen from a work tree."""
    with tree.acting(), open_repository(tree.root) as repo:
        return worktrees_on(repo, MAIN)


def apart(yard: GitRepo) -> GitRepo:
    """A clone whose git directory lies elsewhere."""
    return yard.clone("apart", "--separate-git-dir", str(yard.root.parent / "apart.git"))


def submodule(yard: GitRepo) -> GitRepo:
    """The repository as a submodule of another one."""
    outer = GitRepo.create(yard.root.parent, name="outer")
    outer.git("-c", "protocol.file.allow=always", "submodule", "--quiet", "add", yard.root.as_uri(), "yard")
    return GitRepo(outer.root / "yard", yard.home, yard.clock)


@pytest.mark.parametrize("made", [apart, submodule])
def test_this_work_tree_is_known_wherever_its_git_directory_lies(yard: GitRepo, made: object) -> None:
    assert callable(made)
    tree = made(yard)
    assert found(tree) == (tree.root,)


def test_from_a_linked_work_tree_the_first_one_is_where_it_is_and_not_its_git_directory(
    yard: GitRepo,
) -> None:
    linked = yard.worktree("linked", "-b", "side")
    assert found(linked) == (yard.root,)
    inner = submodule(yard)
    beside = inner.worktree("../../beside", "-b", "side")
    assert found(GitRepo(beside.root.resolve(), yard.home)) == (inner.root,)


def test_a_first_work_tree_that_nothing_names_refuses_until_it_is_named(yard: GitRepo) -> None:
    tree = apart(yard)
    linked = tree.worktree("linked", "-b", "side")
    with pytest.raises(Refused, match="does not name") as refused:
        found(linked)
    command = refused.value.hint.split(": ", 1)[1].replace("DIR", str(tree.root))
    subprocess.run(command.split(" "), check=True)
    assert found(linked) == (tree.root,)
    shutil.rmtree(tree.root)
    with pytest.raises(Refused, match="cannot be reached"):
        found(linked)


def test_a_linked_work_tree_that_was_moved_by_hand_still_knows_itself(yard: GitRepo) -> None:
    yard.branch("side")
    linked = yard.worktree("linked", "main")
    moved = GitRepo(linked.root.with_name("moved"), yard.home)
    linked.root.rename(moved.root)
    assert found(moved) == (moved.root,)
