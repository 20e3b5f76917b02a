"""What a clone remembers of main: a ref that moves only forward, and never by anyone's hook."""

from recipe_track.history.refs import main_ref
from recipe_track.history.repository import open_repository
from recipe_track.history.seen import SEEN, is_behind_seen, note_seen, seen_tip
from tests.journeys.gitrepo import GitRepo
from tests.unit.history.conftest import ZONE


def noted(yard: GitRepo, tip: str) -> str | None:
    with yard.acting(), open_repository(yard.root) as repo:
        note_seen(repo, tip)
        return seen_tip(repo)


def test_nothing_is_remembered_before_the_first_audit(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        assert seen_tip(repo) is None


def test_it_moves_forward_and_never_back_or_aside(yard: GitRepo) -> None:
    first = yard.head()
    second = yard.commit("second", files={ZONE: "t = 2\n"})
    assert noted(yard, first) == first
    assert noted(yard, second) == second
    assert noted(yard, first) == second
    yard.git("reset", "--quiet", "--hard", first)
    aside = yard.commit("aside", files={ZONE: "t = 3\n"})
    assert noted(yard, aside) == second


def test_being_behind_is_not_having_lost_something(yard: GitRepo) -> None:
    first = yard.head()
    second = yard.commit("second", files={ZONE: "t = 2\n"})
    yard.git("reset", "--quiet", "--hard", first)
    aside = yard.commit("aside", files={ZONE: "t = 3\n"})
    with yard.acting(), open_repository(yard.root) as repo:
        assert is_behind_seen(repo, first, second)
        assert not is_behind_seen(repo, aside, second)


def test_no_hook_is_run(yard: GitRepo) -> None:
    ran = yard.root / "ran"
    hook = yard.root / ".git/hooks/reference-transaction"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text(f"#!/bin/sh\ntouch '{ran}'\n")
    hook.chmod(0o755)
    assert noted(yard, yard.head()) == yard.head()
    assert not ran.exists()
    yard.git("update-ref", main_ref("other"), yard.head())
    assert ran.exists(), "the hook itself works"


def test_it_is_skipped_where_the_ref_cannot_be_written(yard: GitRepo) -> None:
    """A file of that name stands in the way, as it would on a full or read-only disk."""
    blocked = yard.root / ".git" / SEEN.rsplit("/", 1)[0]
    blocked.parent.mkdir(parents=True, exist_ok=True)
    blocked.write_text("")
    assert noted(yard, yard.head()) is None


def test_it_is_gone_with_its_commit(yard: GitRepo) -> None:
    ref = yard.root / ".git" / SEEN
    ref.parent.mkdir(parents=True)
    ref.write_text(f"{'1' * 40}\n")
    with yard.acting(), open_repository(yard.root) as repo:
        assert seen_tip(repo) is None
