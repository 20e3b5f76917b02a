"""What belongs to one clone: settings of its own, its attributes, its hooks."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from recipe_track.errors import RepositoryError
from recipe_track.history.repository import Repository, open_repository
from recipe_track.history.settings import attributes_file, hooks_folder, set_setting, setting
from tests.journeys.gitrepo import GitRepo

KEY = "merge.recipe-track.driver"


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    made = GitRepo.create(tmp_path)
    made.commit("First issue", files={"prices.toml": "x\n"})
    return made


@pytest.fixture
def repo(yard: GitRepo) -> Iterator[Repository]:
    with yard.acting(), open_repository(yard.root) as opened:
        yield opened


def test_a_setting_is_given_changed_and_taken_out(yard: GitRepo, repo: Repository) -> None:
    assert setting(repo, KEY) is None
    set_setting(repo, KEY, "one\ntwo = Ünder %O")
    assert setting(repo, KEY) == "one\ntwo = Ünder %O"
    yard.git("config", "--local", "--add", KEY, "a second one")
    assert setting(repo, KEY) == "a second one"
    set_setting(repo, KEY, "alone")
    assert yard.git("config", "--local", "--get-all", KEY) == "alone"
    yard.git("config", "--local", "--add", KEY, "a second one")
    set_setting(repo, KEY, None)
    assert setting(repo, KEY) is None
    set_setting(repo, KEY, None)


def test_settings_of_a_person_are_not_those_of_the_clone(yard: GitRepo, repo: Repository) -> None:
    (yard.home / "no-gitconfig").write_text("[core]\n\tcommentChar = %\n")
    assert yard.git("config", "--get", "core.commentChar") == "%"
    assert setting(repo, "core.commentChar") is None
    set_setting(repo, "core.commentChar", None)
    assert yard.git("config", "--get", "core.commentChar") == "%"


def test_a_configuration_that_cannot_be_read_is_an_error_and_not_unset(
    yard: GitRepo, repo: Repository
) -> None:
    with (yard.root / ".git/config").open("a") as file:
        file.write("[broken\n")
    with pytest.raises(RepositoryError, match="git config"):
        setting(repo, KEY)


def test_attributes_and_hooks_are_shared_with_linked_work_trees(yard: GitRepo, repo: Repository) -> None:
    git = yard.root.resolve() / ".git"
    linked = yard.worktree("linked")
    with yard.acting(), open_repository(linked.root) as other:
        for one in (repo, other):
            assert attributes_file(one).resolve() == git / "info/attributes"
            assert hooks_folder(one).resolve() == git / "hooks"
    yard.git("config", "core.hooksPath", str(yard.home / "hooks"))
    assert hooks_folder(repo) == yard.home / "hooks"
