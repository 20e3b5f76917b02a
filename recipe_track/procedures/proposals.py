"""Open proposals: changes that lie on a branch of their own, here or as last fetched, and not yet on main."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from recipe_track.errors import CallError, Refused
from recipe_track.history.objects import differing
from recipe_track.history.refs import ChangeBranch, is_ancestor, merge_base
from recipe_track.recipe.records import Change
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import Snapshot, record_path
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class OpenProposal:
    """A proposed change: its record, its branch, and the files it edits."""

    id: str
    change: Change
    branch: ChangeBranch
    paths: tuple[str, ...]

    @property
    def path(self) -> str:
        """Where the change record lies."""
        return record_path(self.id, self.change)


def open_proposals(ws: Workspace, snapshot: Snapshot) -> tuple[OpenProposal, ...]:
    """Every open proposal by id; a branch without a readable change record is none."""
    branches = sorted(open_branches(ws, snapshot), key=lambda b: (b.id, b.remote or "", b.ref))
    chosen = [_latest(ws, list(group)) for _, group in groupby(branches, key=lambda b: b.id)]
    found = (_proposal(ws, branch) for branch in chosen)
    return tuple(proposal for proposal in found if proposal is not None)


def open_branches(ws: Workspace, snapshot: Snapshot) -> tuple[ChangeBranch, ...]:
    """Branches of changes that main does not hold yet."""
    return tuple(branch for branch in ws.refs.changes if branch.id not in snapshot.records)


def _latest(ws: Workspace, branches: Sequence[ChangeBranch]) -> ChangeBranch:
    """The branch here, unless a fetched one has gone on from it."""
    best = branches[0]
    for branch in branches[1:]:
        if branch.commit != best.commit and is_ancestor(ws.repo, best.commit, branch.commit):
            best = branch
    return best


def _proposal(ws: Workspace, branch: ChangeBranch) -> OpenProposal | None:
    change = ws.records_named(branch.commit, [branch.id]).get(branch.id)
    if not isinstance(change, Change):
        return None
    base = merge_base(ws.repo, ws.tip(), branch.commit)
    paths = tuple(edit.path for edit in differing(ws.repo, base, branch.commit))
    return OpenProposal(branch.id, change, branch, paths)


def proposal_named(ws: Workspace, snapshot: Snapshot, change_id: str) -> OpenProposal:
    """The open proposal of that id; one that was decided is refused, an unknown one with the nearest id."""
    change_id = change_id.upper()
    if change_id in snapshot.records:
        raise Refused(f"{change_id} is on main already, so it was decided", f"see `change show {change_id}`")
    known = {proposal.id: proposal for proposal in open_proposals(ws, snapshot)}
    if change_id not in known:
        hint = nearest(change_id, known) or "fetch, if someone else proposed it"
        raise CallError(f"there is no proposal {change_id}", hint)
    return known[change_id]
