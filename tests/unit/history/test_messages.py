"""What the next commit will hold, and what git's refusals are in words that help."""

from pathlib import Path

import pytest

from recipe_track.errors import CallError, Refused
from recipe_track.history.process import Answer, failure
from recipe_track.history.refs import main_ref
from recipe_track.history.repository import open_repository
from recipe_track.history.staging import index_tree
from tests.journeys.gitrepo import GitRepo

DECK, HULL, NEW = "models/pb/deck/side.toml", "models/pb/hull/Böden.toml", "models/pb/hull/new.toml"


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    repo = GitRepo.create(tmp_path)
    repo.commit("First issue", files={DECK: "first\n", HULL: "first\n", "README.md": "no recipe\n"})
    return repo


def staged(yard: GitRepo) -> dict[str, str]:
    with yard.acting(), open_repository(yard.root) as repo:
        return index_tree(repo)


def test_what_is_staged_counts_and_what_is_only_announced_does_not(yard: GitRepo) -> None:
    yard.write(DECK, "staged\n")
    yard.git("add", DECK)
    yard.write(DECK, "later\n")
    yard.write("models/pb/deck/new.toml", "announced\n")
    yard.git("add", "--intent-to-add", "models/pb/deck/new.toml")
    found = staged(yard)
    assert set(found) == {DECK, HULL}
    assert found[DECK] == yard.git("hash-object", "--stdin", stdin=b"staged\n")


def test_every_file_in_conflict_is_named_once(yard: GitRepo) -> None:
    yard.branch("side")
    yard.commit("side", files={DECK: "side\n", HULL: "side\n", NEW: "side\n"})
    yard.checkout("main")
    yard.commit("main", files={DECK: "main\n", HULL: "main\n", NEW: "main\n"})
    yard.run("merge", "side")
    with pytest.raises(Refused) as refused:
        staged(yard)
    assert refused.value.details == (DECK, HULL, NEW)
    assert refused.value.message == "a merge left conflicts that are not resolved"
    assert refused.value.hint == "resolve them and `git add` the files"


def test_a_main_branch_that_git_would_not_take_says_where_it_is_written() -> None:
    assert main_ref("yard/main") == "refs/heads/yard/main"
    for name in ("--all", "a..b", "a b", "x.lock", "@", "", "/main", "main/", "a//b", "a@{1}", "a~1"):
        with pytest.raises(CallError) as refused:
            main_ref(name)
        assert refused.value.message == f"`{name}` cannot be the name of a branch"
        assert refused.value.hint == "see `main_branch` in recipe-track.toml"


DUBIOUS = "fatal: detected dubious ownership in repository at '/yard'\nTo add an exception, call:\n\n\t"


@pytest.mark.parametrize(
    ("said", "command"),
    [
        (f"{DUBIOUS}git config --global --add safe.directory /yard\n", "safe.directory /yard"),
        (DUBIOUS, "safe.directory DIR"),
    ],
)
def test_a_repository_of_someone_else_comes_with_the_command_that_trusts_it(said: str, command: str) -> None:
    error = failure(Answer(128, b"", said), ("status",))
    assert error.message.startswith("this repository belongs to someone else")
    assert error.hint == f"if you trust it: git config --global --add {command}"


def test_a_failure_names_the_command_and_not_its_settings() -> None:
    settings = ("-c", "a.b=c", "-c", "log.follow=false")
    assert failure(Answer(1, b"", " no \n"), (*settings, "log", "-1")).message == "git log failed: no"
    assert failure(Answer(2, b"", "\n"), ("gc",)).message == "git gc failed: status 2 without a word"
