"""The reasons between two revisions: a change on record once, and what nothing explains by its own words."""

from pathlib import Path

import pytest

from recipe_track.review.change.reasons import reasons_between
from recipe_track.workspace import open_workspace
from tests.journeys.yard import Yard, explained, new_yard, thicken


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def reasons(yard: Yard, before: str = "r1", after: str = "main") -> list[str]:
    """Ids of changes, and the words of commits without a change."""
    with yard.repo.acting(), open_workspace(yard.root) as ws:
        old, new = (ws.revision(text, "demo") for text in (before, after))
        return [reason.change or reason.title for reason in reasons_between(ws, old, new, "demo")]


def test_a_commit_that_no_change_explains_speaks_for_itself(yard: Yard) -> None:
    thicken(yard)
    yard.repo.commit("Core 25 mm\n\nChange: C-AAAAAA\n")
    assert reasons(yard) == ["Core 25 mm"]


@pytest.mark.parametrize("approve", [None, "ben"])
def test_a_change_is_named_once_whether_it_is_decided_or_waits(yard: Yard, approve: str | None) -> None:
    thicken(yard)
    change = explained(yard, yard.repo.commit("Core 25 mm"), approve=approve)
    assert reasons(yard) == [change]
    assert reasons(yard, "main", "r1") == [change]


def test_a_rejected_change_that_is_on_main_is_named_once(yard: Yard) -> None:
    thicken(yard)
    change = explained(yard, yard.repo.commit("Core 25 mm"), approve=None)
    assert yard("change", "reject", change, "--note", "not asked for", who="ben").status == 0
    assert reasons(yard) == [change]
