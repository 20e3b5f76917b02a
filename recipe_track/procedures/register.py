"""The register of changes: every change with its state, its release, its proof; and whether one worked."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from recipe_track.errors import Refused
from recipe_track.figures.plies import NotComputable
from recipe_track.history.decisions import merge_preview
from recipe_track.procedures.changes import read_tree
from recipe_track.procedures.choosing import hull_named, named, record_named
from recipe_track.procedures.expected import differences, expected_of
from recipe_track.procedures.fleet import Fleet
from recipe_track.procedures.landings import Landing, landings
from recipe_track.procedures.minima import Concern, concerns
from recipe_track.procedures.proposals import OpenProposal, open_proposals
from recipe_track.procedures.signatures import NOT_PROVEN, parent_of, proof_words, signatures
from recipe_track.procedures.writing import Done, new_record, put_records, with_records
from recipe_track.recipe.records import Change, Decision, Expected, Trial, Verification
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import ChangeState, change_state, decisions_about, of_kind, verifications_of
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A change and where it stands; `release` is the first that contains it, `branch` its open proposal."""

    id: str
    change: Change
    state: ChangeState
    branch: str | None
    landing: Landing | None
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
    concerns: tuple[Concern, ...]
    hulls: tuple[str, ...]
    proof: str | None
    currency: str | None
    trouble: str | None


def change_rows(ws: Workspace, snapshot: Snapshot) -> tuple[ChangeRow, ...]:
    """Every change, those that wait for a decision first, then the newest."""
    landed = landings(ws.repo, ws.commits)
    releases = first_releases(ws, landed, snapshot)
    on_main = [_row(snapshot, i, change, landed, releases) for i, change in of_kind(snapshot.records, Change)]
    waiting = [_waiting(proposal) for proposal in open_proposals(ws, snapshot)]
    rows = sorted((*on_main, *waiting), key=lambda row: (row.change.on, row.id), reverse=True)
    return tuple(sorted(rows, key=lambda row: row.state != "proposed"))


def _row(
    snapshot: Snapshot, change_id: str, change: Change, landed: Mapping[str, Landing],
    releases: Mapping[str, str],
) -> ChangeRow:  # fmt: skip
    return ChangeRow(
        change_id, change, change_state(snapshot.records, change_id, releases), None,
        landed.get(change_id), releases.get(change_id),
        tuple(decisions_about(snapshot.records, change_id)),
        tuple(verifications_of(snapshot.records, change_id)),
    )  # fmt: skip


def _waiting(proposal: OpenProposal) -> ChangeRow:
    branch = proposal.branch.ref.removeprefix("refs/").removeprefix("heads/")
    return ChangeRow(proposal.id, proposal.change, "proposed", branch, None, None, (), ())


def first_releases(ws: Workspace, landed: Mapping[str, Landing], snapshot: Snapshot) -> dict[str, str]:
    """Change → the first release on main that contains it."""
    age = {commit.id: n for n, commit in enumerate(reversed(ws.commits))}
    found: dict[str, str] = {}
    for change_id, landing in landed.items():
        change = snapshot.records.get(change_id)
        if not isinstance(change, Change):
            continue
        later = [
            (age[release.commit], release.n)
            for release in ws.labels(change.model).releases
            if release.commit in age and age[release.commit] >= age[landing.commit.id]
        ]
        if later:
            found[change_id] = f"r{min(later)[1]}"
    return found


def change_shown(ws: Workspace, snapshot: Snapshot, change_id: str) -> ChangeShown:
    """One change with its impact computed again, by what is on main today or when it landed."""
    rows = {row.id: row for row in change_rows(ws, snapshot)}
    row = named("change", change_id.upper(), rows)
    try:
        sides, trouble = _sides(ws, snapshot, row), None
    except Refused as refused:
        sides, trouble = None, refused.message
    now: Expected | None = None
    found: tuple[Concern, ...] = ()
    if sides is not None:
        try:
            now = expected_of(*sides, row.change.model)
            found = concerns(*sides, row.change.model)
        except NotComputable as missing:
            trouble = str(missing)
    then = row.change.expected
    difference = differences(then, now) if then and now else ()
    hulls = Fleet(ws, snapshot).hulls_with(row.landing, row.change.model) if row.landing else ()
    currency = snapshot.prices.currency if snapshot.prices else None
    return ChangeShown(row, then, now, difference, found, hulls, _proof(ws, row), currency, trouble)


def _proof(ws: Workspace, row: ChangeRow) -> str | None:
    """Whether the commit that decided on a change proves who made it."""
    if not row.decisions:
        return None
    wanted = f"{row.decisions[-1][0]}.toml"
    commit = next((c for c in ws.commits if any(f.path.endswith(wanted) for f in c.changes)), None)
    if commit is None:
        return NOT_PROVEN
    return proof_words(signatures(ws, {commit.id: parent_of(commit)}).get(commit.id))


def _sides(ws: Workspace, snapshot: Snapshot, row: ChangeRow) -> tuple[Snapshot, Snapshot] | None:
    """What a change started from and led to; an open one is merged with main of today."""
    if row.landing is not None:
        source = row.landing.source
        if not source.parents:
            return None
        before = ws.read(ws.revision_of(source.parents[0], None)).snapshot
        return before, ws.read(ws.revision_of(source.id, None)).snapshot
    if row.branch is None:
        return None
    proposal = next(p for p in open_proposals(ws, snapshot) if p.id == row.id)
    tree = merge_preview(ws.repo, ws.main_branch, proposal.branch.commit)
    return snapshot, read_tree(ws, tree).snapshot


def verify_change(
    ws: Workspace, change_id: str, hull: str, outcome: str, on: date, *, trial: str | None = None,
    note: str | None = None, dry_run: bool = False,
) -> Done:  # fmt: skip
    """Say whether an approved change did what it was meant to do, on one hull."""
    snapshot = ws.current()
    change = record_named(snapshot, change_id, Change, "change on main")
    change_id = change_id.upper()
    decisions = decisions_about(snapshot.records, change_id)
    if not decisions or decisions[-1][1].decision != "approved":
        raise Refused(f"{change_id} is not approved, so there is nothing to verify")
    hull_named(snapshot, hull)
    if trial is not None:
        record_named(snapshot, trial, Trial, "observation")
    new = new_record(
        ws, snapshot, "verification", on, about=change_id, hull=hull, outcome=outcome,
        trial=trial.upper() if trial else None, note=note,
    )  # fmt: skip
    with_records(snapshot, new)
    said = [f"verified {change_id} ({change.title}): {outcome} on hull {hull}"]
    if not _carries(ws, snapshot, change_id, change.model, hull):
        said.append(f"note: by its record, no part of hull {hull} is built to a release with {change_id}")
    subject = f"Verify {change_id}: {outcome} on hull {hull}"
    return put_records(ws, new, subject=subject, body=note or "", said=tuple(said), dry_run=dry_run)


def _carries(ws: Workspace, snapshot: Snapshot, change_id: str, model: str, hull: str) -> bool:
    """Whether a hull has a change; one that reaches no laminate, such as of prices, is everywhere."""
    landing = landings(ws.repo, ws.commits).get(change_id)
    if landing is None:
        return False
    laminate = [p for p in landing.paths if p != "prices.toml" and not p.endswith("/model.toml")]
    return not laminate or hull in Fleet(ws, snapshot).hulls_with(landing, model)
