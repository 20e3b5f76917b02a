"""Where the changes on record arrived on main, by the edits that decisions cover; trailers prove nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from recipe_track.history.ancestry import Ancestor
    from recipe_track.trail import Landing as EditLanding
    from recipe_track.trail import Verdict
    from recipe_track.workspace import Workspace
    from recipe_track.workspace.trail import Trail


@dataclass(frozen=True, slots=True)
class ChangeOnMain:
    """A change arriving on main: the commits that hold its edits, one line of them, and what they touched.

    `copies` are all commits that hold any of its edits, those on parallel lines among them.
    """

    change: str
    commits: tuple[Ancestor, ...]
    copies: frozenset[str]
    paths: frozenset[str]
    edits: int

    @property
    def first(self) -> Ancestor:
        """The first commit that holds any of it."""
        return self.commits[0]

    @property
    def last(self) -> Ancestor:
        """The commit with which all of it is there."""
        return self.commits[-1]


def changes_on_main(ws: Workspace) -> Mapping[str, ChangeOnMain]:
    """Every change of which main holds an edit, by id, in the order in which they arrived."""
    if ws.refs.main is None:
        return {}
    trail = ws.trail
    edits = {change.id: len(change.edits) for change in trail.decided}
    arrived = {change: _landing(trail, change, held, edits[change]) for change, held in _held(trail).items()}
    order = {commit.id: n for n, commit in enumerate(trail.ancestors)}
    return dict(sorted(arrived.items(), key=lambda item: order[item[1].first.id]))


def _held(trail: Trail) -> Mapping[str, tuple[EditLanding, ...]]:
    return {change: held for change, held in trail.verdict.landings.items() if held}


def _landing(trail: Trail, change: str, held: tuple[EditLanding, ...], edits: int) -> ChangeOnMain:
    firsts: dict[int, EditLanding] = {}
    for landing in held:  # parents first; a later one of the same edit is a copy on a parallel line
        firsts.setdefault(landing.number, landing)
    commits = dict.fromkeys(landing.commit for landing in held if landing in firsts.values())
    return ChangeOnMain(
        change,
        tuple(trail.by_id[commit] for commit in commits),
        frozenset(landing.commit for landing in held),
        frozenset(landing.done.path for landing in held),
        edits,
    )


def changes_in(ws: Workspace, commit: str) -> tuple[str, ...]:
    """The changes whose edits a commit of main landed, or, of a merge of two lines, those it joined."""
    return brought_by(ws.trail.verdict, commit)


def brought_by(verdict: Verdict, commit: str) -> tuple[str, ...]:
    """The same out of a verdict that is known."""
    landed = tuple(landing.change for landing in verdict.landed_by.get(commit, ()))
    return tuple(dict.fromkeys(landed or verdict.joined_by.get(commit, ())))
