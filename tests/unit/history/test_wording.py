"""The sentences of git that stand for something, said by the git of this machine, whatever its language."""

import os
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from recipe_track.errors import Refused
from recipe_track.history import worktrees
from recipe_track.history.commit_to_main import commit_record, move_ref
from recipe_track.history.refs import create_release
from recipe_track.history.repository import Repository, open_repository
from recipe_track.history.wording import (
    command_to_trust,
    good_signature,
    says_lock_is_held,
    says_ref_is_elsewhere,
    says_signature_is,
)
from tests.journeys.gitrepo import GitRepo, environment

MAIN = "refs/heads/main"
GERMAN = {"LC_ALL": "C.UTF-8", "LANG": "C.UTF-8", "LANGUAGE": "de"}


@pytest.fixture(params=["as it is", "German"])
def speech(request: pytest.FixtureRequest, yard: GitRepo) -> dict[str, str]:
    """The environment of someone whose git speaks English, or German."""
    if request.param != "German":
        return {}
    with environment(yard.env() | GERMAN):
        said = os.popen("git rev-parse --verify nowhere 2>&1").read()
    if "fatal: Needed" in said:
        pytest.skip("this machine has no German git")
    return GERMAN


@contextmanager
def opened(yard: GitRepo, speech: dict[str, str]) -> Iterator[Repository]:
    with environment(yard.env() | speech), open_repository(yard.root) as repo:
        yield repo


def test_a_ref_that_has_moved_is_told_from_one_that_cannot_be_moved(
    yard: GitRepo, speech: dict[str, str]
) -> None:
    first, second = yard.head(), yard.commit("second")
    with opened(yard, speech) as repo:
        assert not move_ref(repo, MAIN, first, first, "moved meanwhile")
        assert not move_ref(repo, MAIN, first, None, "is there already")
        assert move_ref(repo, "refs/heads/change", first, None, "new")
        assert not move_ref(repo, "refs/heads/change/C-000000", first, None, "a branch is in the way")
        lock = yard.write(".git/refs/heads/main.lock", "")
        assert not move_ref(repo, MAIN, first, second, "locked")
        lock.unlink()
        assert move_ref(repo, MAIN, first, second, "free again")


def test_an_index_that_is_held_is_waited_for_and_named(
    yard: GitRepo, speech: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(worktrees, "LOCK_SECONDS", 0.1)
    yard.write(".git/index.lock", "")
    before = yard.head()
    with opened(yard, speech) as repo, pytest.raises(Refused, match="git is at work"):
        commit_record(repo, "main", {"records/2026/T-7K3QX2.toml": b"x"}, "Log")
    assert yard.head() == before


def test_a_release_that_is_there_is_told_from_one_that_cannot_be_signed(
    yard: GitRepo, speech: dict[str, str]
) -> None:
    with opened(yard, speech) as repo:
        create_release(repo, "pb", 1, yard.head(), "r1")
        with pytest.raises(Refused, match="is released already"):
            create_release(repo, "pb", 1, yard.head(), "again")
        with pytest.raises(Refused, match="could not be signed"):
            create_release(repo, "pb", 2, yard.head(), "r2", sign=True)
    assert yard.git("tag", "--list") == "pb/r1"


def test_a_signature_that_the_configuration_asks_for_is_not_left_out(
    yard: GitRepo, speech: dict[str, str]
) -> None:
    yard.git("config", "tag.gpgSign", "true")
    yard.git("config", "gpg.format", "ssh")
    yard.git("config", "user.signingKey", str(yard.root / "no-key"))
    with opened(yard, speech) as repo, pytest.raises(Refused, match="could not be signed"):
        create_release(repo, "pb", 1, yard.head(), "r1")
    assert yard.git("tag", "--list") == ""


@pytest.mark.parametrize("why", ["No space left on device", "Permission denied", "Read-only file system"])
def test_a_lock_that_could_not_be_made_is_not_held_by_anyone(why: str) -> None:
    assert says_lock_is_held(
        "fatal: Unable to create '/y/.git/index.lock': File exists.\n\nAnother git process"
    )
    assert not says_lock_is_held(f"fatal: Unable to create '/y/.git/index.lock': {why}")
    assert not says_ref_is_elsewhere(
        f"fatal: cannot lock ref 'refs/heads/main': Unable to create '/expected/exists/main.lock': {why}"
    )


def test_the_command_to_trust_a_repository_is_git_s_own() -> None:
    said = (
        "fatal: detected dubious ownership in repository at '/y'\nTo add an exception for this directory, call:\n"
        "\n\tgit config --global --add safe.directory /y\n"
    )
    assert command_to_trust(said) == "git config --global --add safe.directory /y"
    assert command_to_trust("fatal: not a git repository") is None


@pytest.mark.parametrize(
    ("said", "good", "otherwise"),
    [
        (
            'Good "git" signature for ada@quay.example with ED25519 key SHA256:abc\n',
            ("ada@quay.example", "SHA256:abc"),
            "unknown",
        ),
        (
            "[GNUPG:] NEWSIG\n[GNUPG:] GOODSIG 0123 Ada <ada@quay.example>\n",
            ("Ada <ada@quay.example>", "0123"),
            "unknown",
        ),
        ("[GNUPG:] BADSIG 0123 Ada <ada@quay.example>\n", None, "bad"),
        ("Signature verification failed: incorrect signature\n", None, "bad"),
        ('Good "git" signature with ED25519 key SHA256:abc\nNo principal matched.\n', None, "unknown"),
    ],
)
def test_what_a_checker_says_of_a_signature(said: str, good: tuple[str, str] | None, otherwise: str) -> None:
    assert good_signature(said) == good
    assert says_signature_is(said) == otherwise
