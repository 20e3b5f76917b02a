"""The register of changes: open proposals and decided ones, each with its state, release and proof."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import TYPE_CHECKING

from recipe_track.errors import CallError, Refused
from recipe_track.figures.materials import NotComputable
from recipe_track.history.ancestry import ancestry
from recipe_track.history.aside import objects_aside
from recipe_track.history.merges import merge_preview
from recipe_track.history.objects import differing
from recipe_track.history.refs import ChangeBranch, is_ancestor, merge_base
from recipe_track.history.texts import read_present
from recipe_track.recipe.paths import record_path
from recipe_track.recipe.records import Change, Decision, Expected, Verification
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import ChangeState, change_state
from recipe_track.review.authority import NOT_PROVEN, proof_words
from recipe_track.review.change.expected import departures, expected_of
from recipe_track.review.choosing import named
from recipe_track.review.hull.effectivity import effectivity_of
from recipe_track.review.past.changes_on_main import ChangeOnMain, changes_on_main
from recipe_track.trail.edits import is_governed
from recipe_track.trail.texts import blob_id
from recipe_track.workspace import Revision, Workspace
from recipe_track.workspace.assembly import Reading

if TYPE_CHECKING:
    from recipe_track.review.change.minima import Concern


def read_tree(ws: Workspace, tree: str) -> Reading:
    """What is written in a tree that is not committed yet."""
    return ws.read(Revision(None, tree, None), with_records=True)


@dataclass(frozen=True, slots=True)
class OpenProposal:
    """A proposed change: its record, its branch, and the files it edits.

    `blob` is that of the record; `altered` are paths where the branch is not what the record says;
    `superseded_by` is the change that was proposed in its place.
    """

    id: str
    change: Change
    branch: ChangeBranch
    paths: tuple[str, ...]
    blob: str = ""
    altered: tuple[str, ...] = ()
    superseded_by: str | None = None

    @property
    def path(self) -> str:
        """Where the change record lies."""
        return record_path(self.id, self.change.on)


def open_proposals(ws: Workspace, snapshot: Snapshot) -> tuple[OpenProposal, ...]:
    """Every open proposal by id; a branch without a readable change record is none."""
    branches = sorted(open_branches(ws, snapshot), key=lambda b: (b.id, b.remote or "", b.ref))
    chosen = [_latest(ws, list(group)) for _, group in groupby(branches, key=lambda b: b.id)]
    found = [proposal for branch in chosen if (proposal := _proposal(ws, branch)) is not None]
    later = {one.change.replaces: one.id for one in found}
    later |= {name: others[-1] for name, others in snapshot.records.replaced_by.items()}
    return tuple(replace(proposal, superseded_by=later.get(proposal.id)) for proposal in found)


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


def mains(ws: Workspace) -> tuple[str, ...]:
    """Main here and as it was last fetched: what either holds is not the doing of a branch."""
    return tuple(dict.fromkeys(one for one in (ws.tip(), ws.refs.fetched) if one is not None))


def _proposal(ws: Workspace, branch: ChangeBranch) -> OpenProposal | None:
    change = ws.records_named(branch.commit, [branch.id]).get(branch.id)
    if not isinstance(change, Change):
        return None
    bases = {merge_base(ws.repo, main, branch.commit) for main in mains(ws)}
    edited = [[edit.path for edit in differing(ws.repo, base, branch.commit)] for base in bases]
    paths = tuple(path for path in edited[0] if all(path in other for other in edited))
    blob = ws.files_at(branch.commit).get(record_path(branch.id, change.on), "")
    return OpenProposal(branch.id, change, branch, paths, blob, _altered(ws, branch, change))


def _altered(ws: Workspace, branch: ChangeBranch, change: Change) -> tuple[str, ...]:
    """The paths where the commits of a branch did otherwise than its record says."""
    own = ancestry(ws.repo, branch.commit, since=mains(ws))
    did = Counter((t.path, t.before, t.after) for c in own for t in c.touches if is_governed(t.path))
    names = _own_names(ws, {blob for _, *blobs in did for blob in blobs}, change)
    said = Counter(
        (edit.path, names.get(edit.before, edit.before), names.get(edit.after, edit.after))
        for edit in change.edit
    )
    return tuple(dict.fromkeys(path for path, _, _ in ((did - said) + (said - did))))


def _own_names(ws: Workspace, own: set[str], change: Change) -> Mapping[str, str]:
    """The blobs of a branch by the ids that a record has for them which was made in a SHA-1 repository."""
    ids = {blob for edit in change.edit for blob in (edit.before, edit.after) if blob}
    foreign = next((one for one in ids if any(len(one) != len(blob) for blob in own if blob)), None)
    if foreign is None:
        return {}
    return {blob_id(text, foreign): blob for blob, text in read_present(ws.repo, sorted(own)).items()}


def proposal_named(ws: Workspace, snapshot: Snapshot, change_id: str) -> OpenProposal:
    """The open proposal of that id; one that was decided is refused, an unknown one with the nearest id."""
    change_id = change_id.upper()
    if change_id in snapshot.records:
        raise Refused(f"{change_id} is on main already, and decided", f"see `change show {change_id}`")
    known = {proposal.id: proposal for proposal in open_proposals(ws, snapshot)}
    if change_id not in known:
        hint = nearest(change_id, known) or "fetch, if someone else proposed it"
        raise CallError(f"there is no proposal {change_id}", hint)
    return known[change_id]


def undecided_on_main(ws: Workspace, snapshot: Snapshot, change_id: str) -> Change | None:
    """A change whose record is on main and that nobody has decided yet, or nobody who might."""
    name = change_id.upper()
    change, records = snapshot.records.get(name), snapshot.records
    approvals = [i for i, d in records.decisions_about(name) if d.decision == "approved"]
    approved = records.last_decision(name) == "approved" and any(map(ws.trail.is_sound, approvals))
    decided = approved or records.last_decision(name) == "rejected"
    return change if isinstance(change, Change) and not decided else None


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A change and where it stands; `release` is the first that contains it, `branch` its open proposal."""

    id: str
    change: Change
    state: ChangeState
    branch: str | None
    landed: ChangeOnMain | None
    release: str | None
    decisions: tuple[tuple[str, Decision], ...]
    verifications: tuple[tuple[str, Verification], ...]


@dataclass(frozen=True, slots=True)
class ChangeShown:
    """A change with its impact computed again; `difference` tells where it departs from the expected."""

    row: ChangeRow
    expected: Expected | None
    now: Expected | None
    difference: tuple[str, ...]
    concerns: "tuple[Concern, ...]"
    hulls: tuple[str, ...]
    hulls_planned: tuple[str, ...]
    proof: str | None
    currency: str | None
    trouble: str | None


def change_rows(ws: Workspace, snapshot: Snapshot) -> tuple[ChangeRow, ...]:
    """Every change, those that wait for a decision first, then the newest."""
    landed = changes_on_main(ws)
    releases = first_releases(ws, landed, snapshot)
    changes = snapshot.records.all_of(Change)
    on_main = [_row(snapshot, name, change, landed, releases) for name, change in changes.items()]
    waiting = [_waiting(proposal) for proposal in open_proposals(ws, snapshot)]
    rows = sorted((*on_main, *waiting), key=lambda row: (row.change.on, row.id), reverse=True)
    return tuple(sorted(rows, key=lambda row: row.state != "proposed"))


def _row(
    snapshot: Snapshot, change_id: str, change: Change, landed: Mapping[str, ChangeOnMain],
    releases: Mapping[str, str],
) -> ChangeRow:  # fmt: skip
    return ChangeRow(
        change_id, change, change_state(snapshot.records, change_id, releases), None,
        landed.get(change_id), releases.get(change_id),
        tuple(snapshot.records.decisions_about(change_id)),
        tuple(snapshot.records.verifications_of(change_id)),
    )  # fmt: skip


def _waiting(proposal: OpenProposal) -> ChangeRow:
    branch = proposal.branch.ref.removeprefix("refs/").removeprefix("heads/")
    state: ChangeState = "superseded" if proposal.superseded_by else "proposed"
    return ChangeRow(proposal.id, proposal.change, state, branch, None, None, (), ())


def first_releases(ws: Workspace, landed: Mapping[str, ChangeOnMain], snapshot: Snapshot) -> dict[str, str]:
    """Change → the first release that contains all its edits."""
    first: dict[str, str] = {}
    for change_id in landed:
        change = snapshot.records.get(change_id)
        if not isinstance(change, Change) or change.model is None:
            continue
        releases = ws.labels(change.model).releases
        label = next((r.label for r in releases if r.on_main and ws.trail.holds(r.commit, change_id)), None)
        if label is not None:
            first[change_id] = label
    return first


def change_shown(ws: Workspace, snapshot: Snapshot, change_id: str) -> ChangeShown:
    """One change with its impact computed again, by what is on main today or when it landed."""
    rows = {row.id: row for row in change_rows(ws, snapshot)}
    return _shown(ws, snapshot, named("change", change_id.upper(), rows))


def changes_shown(ws: Workspace, snapshot: Snapshot, ids: Iterable[str]) -> dict[str, ChangeShown]:
    """Those of the changes that are on record, each with its impact computed again."""
    wanted = set(ids)
    return {row.id: _shown(ws, snapshot, row) for row in change_rows(ws, snapshot) if row.id in wanted}


def _shown(ws: Workspace, snapshot: Snapshot, row: ChangeRow) -> ChangeShown:
    try:
        sides, trouble = _sides(ws, snapshot, row), None
    except Refused as refused:
        sides, trouble = None, refused.message
    now: Expected | None = None
    found: tuple[Concern, ...] = ()
    model = row.change.model
    if sides is not None and model is not None:
        from recipe_track.review.change.minima import concerns  # figures of panels, which no list asks for

        try:
            now = expected_of(*sides, model)
            found = concerns(*sides, model)
        except NotComputable as missing:
            trouble = str(missing)
    then = row.change.expected
    difference = departures(then, now) if then and now else ()
    hulls, planned = _hulls(ws, snapshot, row.landed, model)
    currency = snapshot.prices.currency if snapshot.prices else None
    return ChangeShown(row, then, now, difference, found, hulls, planned, _proof(ws, row), currency, trouble)


def _hulls(
    ws: Workspace, snapshot: Snapshot, landed: ChangeOnMain | None, model: str | None
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Hulls that have a change, and those that are planned with it."""
    if landed is None or model is None:
        return (), ()
    fleet = effectivity_of(ws, snapshot)
    return fleet.hulls_with(landed, model), fleet.hulls_planned(landed, model)


def _proof(ws: Workspace, row: ChangeRow) -> str | None:
    """Whether the decision on a change proves who made it."""
    if not row.decisions:
        return None
    name = row.decisions[-1][0]
    return proof_words(ws.trail.signature_of(name)) if name in ws.trail.origin_of else NOT_PROVEN


def _sides(ws: Workspace, snapshot: Snapshot, row: ChangeRow) -> tuple[Snapshot, Snapshot] | None:
    """What a change started from and led to; an open one is merged with main of today."""
    if row.landed is not None:
        first, last = row.landed.first, row.landed.last
        if not first.parents:
            return None
        before = ws.read(ws.revision_of(first.parents[0], None)).snapshot
        return before, ws.read(ws.revision_of(last.id, None)).snapshot
    if row.branch is None:
        return None
    proposal = next(p for p in open_proposals(ws, snapshot) if p.id == row.id)
    with objects_aside(ws.repo):  # whoever only looks leaves nothing behind
        tree = merge_preview(ws.repo, ws.main_branch, proposal.branch.commit)
        return snapshot, read_tree(ws, tree).snapshot
