"""What is needed of git is fetched at once; an answer is then put together from values alone."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from recipe_track.history.repository import Repository
from recipe_track.review.audit import audited
from recipe_track.review.audit.scope import scope_of
from recipe_track.review.change import comparison
from recipe_track.review.hull.as_built import fetch_hulls, hull_record
from recipe_track.review.hull.weighings import weighed
from recipe_track.review.past import why
from recipe_track.workspace import Workspace, open_workspace


@pytest.fixture
def workspace(example: Path) -> Iterator[Workspace]:
    with open_workspace(example) as opened:
        yield opened


@contextmanager
def no_git() -> Iterator[None]:
    """Whoever asks git something meanwhile fails."""

    def refuse(repo: Repository, *args: str, **_: object) -> None:
        raise AssertionError(f"git {' '.join(args)} after what was needed was fetched")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Repository, "run", refuse)
        patch.setattr(Repository, "git", refuse)
        yield


def test_no_git_means_none(workspace: Workspace) -> None:
    with no_git(), pytest.raises(AssertionError, match="git "):
        workspace.tip()


def test_a_comparison(workspace: Workspace) -> None:
    old, new = workspace.pair("r5", "r6", workspace.only_model(None))
    fetched = comparison.fetch(workspace, old, new, None)
    with no_git():
        assert comparison.joined(fetched).impact.zones


def test_why(workspace: Workspace) -> None:
    fetched = why.fetch(workspace, "deck/side-deck", None, None, None)
    with no_git():
        assert why.told(fetched, "deck/side-deck").layers


def test_an_audit(workspace: Workspace) -> None:
    scope = scope_of(workspace, None, None)
    with no_git():
        assert audited(scope).findings


def test_the_record_of_a_hull(workspace: Workspace) -> None:
    sources = fetch_hulls(workspace, workspace.current())
    with no_git():
        assert hull_record(sources, "014").parts
        assert weighed(sources, "012")
