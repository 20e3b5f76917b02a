"""Where a change arrived on main: by the edits that its decision covers, on whichever line, never by a trailer."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import pytest

from recipe_track.review.past.changes_on_main import ChangeOnMain, changes_in, changes_on_main
from recipe_track.workspace import Workspace, open_workspace
from tests.journeys.yard import COAMING, SIDE, Yard, explained, new_yard, thicken


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


@contextmanager
def opened(yard: Yard) -> Iterator[Workspace]:
    with yard.repo.acting(), open_workspace(yard.root) as ws:
        yield ws


def landed(yard: Yard) -> Mapping[str, ChangeOnMain]:
    with opened(yard) as ws:
        return changes_on_main(ws)


def thickened(yard: Yard, to: float) -> str:
    """A commit straight onto main."""
    thicken(yard, to)
    return yard.repo.commit(f"core {to:g} mm")


def test_a_change_arrives_with_the_commit_of_its_edit(yard: Yard) -> None:
    thicken(yard)
    change = yard.change()
    (found,) = landed(yard).values()
    assert (found.change, found.paths, found.edits) == (change, {SIDE}, 1)
    assert found.first == found.last
    assert SIDE in {touch.path for touch in found.first.touches}
    with opened(yard) as ws:
        assert changes_in(ws, found.first.id) == (change,)


def test_a_change_of_several_commits_is_there_with_the_last(yard: Yard) -> None:
    first, second = thickened(yard, 25), thickened(yard, 30)
    change = explained(yard, first, second)
    found = landed(yard)[change]
    assert [commit.id for commit in found.commits] == [first, second]
    assert (found.first.id, found.last.id, found.edits) == (first, second, 2)


def test_copies_on_parallel_lines_are_one_arrival(yard: Yard) -> None:
    yard.repo.branch("side")
    copy = thickened(yard, 25)
    yard.repo.checkout("main")
    yard.repo.commit("meanwhile", files={"README.md": "x"})
    own = thickened(yard, 25)
    change = explained(yard, own)
    yard.repo.merge("side")
    found = landed(yard)[change]
    assert found.copies == {own, copy}
    assert len(found.commits) == 1


def test_a_trailer_brings_nothing(yard: Yard) -> None:
    thicken(yard)
    change = yard.change()
    thicken(yard, 30)
    claimed = yard.repo.commit(f"core 30 mm\n\nChange: {change}\n")
    assert claimed not in landed(yard)[change].copies
    with opened(yard) as ws:
        assert changes_in(ws, claimed) == ()


def test_what_is_on_main_has_arrived_though_nobody_decided_it(yard: Yard) -> None:
    commit = thickened(yard, 25)
    change = explained(yard, commit, approve=None)
    assert [found.first.id for found in landed(yard).values()] == [commit]
    with opened(yard) as ws:
        assert [finding.change for finding in ws.trail.verdict.open] == [change]


def test_changes_stand_in_the_order_in_which_they_arrived(yard: Yard) -> None:
    first = thickened(yard, 25)
    yard.edit(COAMING, "centroid_m", "note = 'x'\ncentroid_m")
    second = yard.repo.commit("coaming")
    later, earlier = explained(yard, second), explained(yard, first)
    assert list(landed(yard)) == [earlier, later]


def test_a_merge_of_two_lines_names_what_it_brought_over(yard: Yard) -> None:
    yard.repo.branch("side")
    theirs = thickened(yard, 25)
    yard.repo.checkout("main")
    yard.edit(COAMING, "centroid_m", "note = 'x'\ncentroid_m")
    ours = yard.repo.commit("coaming")
    merge = yard.repo.merge("side")
    change, other = explained(yard, theirs), explained(yard, ours)
    with opened(yard) as ws:
        assert changes_in(ws, merge) == (change,)
        assert changes_in(ws, ours) == (other,)
