"""Opening a repository of any shape, and a revision as a person types it."""

from pathlib import Path

import pytest

from recipe_track.errors import CallError, RepositoryError
from recipe_track.history.process import failure
from recipe_track.history.repository import create_repository, open_repository, resolve
from tests.journeys.gitrepo import GitRepo


def test_a_repository_knows_its_shape(yard: GitRepo) -> None:
    bare = yard.clone("bare.git", "--bare")
    shallow = yard.clone("shallow", "--depth=1")
    linked = yard.worktree("linked", "-b", "side")
    with yard.acting():
        with open_repository(bare.root) as repo:
            assert (repo.root, repo.bare, repo.shallow, repo.place) == (None, True, False, bare.root)
        with open_repository(shallow.root) as repo:
            assert (repo.root, repo.shallow, repo.object_format) == (shallow.root, True, "sha1")
        with open_repository(linked.root) as repo:
            assert (repo.root, repo.common_dir) == (linked.root, yard.root / ".git")
            assert repo.git_dir != repo.common_dir


def test_a_folder_with_a_line_end_in_its_name_is_one_folder(yard: GitRepo) -> None:
    odd = yard.clone("two\nlines")
    with yard.acting(), open_repository(odd.root) as repo:
        assert repo.root == odd.root


def test_no_folder_and_no_repository_are_told(tmp_path: Path) -> None:
    repo = GitRepo(tmp_path, tmp_path / "home")
    with repo.acting():
        for folder, words in ((tmp_path / "gone", "there is no folder"), (tmp_path, "no git repository")):
            with pytest.raises(RepositoryError, match=words), open_repository(folder):
                pass


@pytest.mark.parametrize(
    "text", ["", "nowhere", "^main", "--all", "main\n", "main..side", "x" * 2000, "a\0b"]
)
def test_what_is_no_commit_is_no_revision(yard: GitRepo, text: str) -> None:
    with yard.acting(), open_repository(yard.root) as repo, pytest.raises(CallError):
        resolve(repo, text)


def test_a_revision_becomes_an_id(yard: GitRepo) -> None:
    yard.tag("pb/r1")
    with yard.acting(), open_repository(yard.root) as repo:
        assert {resolve(repo, text) for text in ("HEAD", "pb/r1", "main@{0}", ":/first")} == {yard.head()}


def test_a_failure_names_the_command_behind_its_settings(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        args = ("-c", "a.b=c", "ls-tree", "nowhere")
        assert failure(repo.run(*args), args).message.startswith("git ls-tree failed: fatal: Not a valid")


def test_a_new_repository_has_the_branch_asked_for(tmp_path: Path) -> None:
    repo = GitRepo(tmp_path / "new", tmp_path / "home")
    with repo.acting():
        create_repository(repo.root, "trunk", plain=True)
    assert repo.git("symbolic-ref", "HEAD") == "refs/heads/trunk"
