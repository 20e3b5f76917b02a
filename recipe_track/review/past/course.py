"""The course of a model or a zone through its revisions, and the revisions a person can choose from."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from recipe_track.errors import CallError, Problem
from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import craft_totals, zone_cases
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.plies import LayerPlies
from recipe_track.figures.results import CraftTotals, ZoneFigures
from recipe_track.figures.zone import zone_figures
from recipe_track.history.log import Commit
from recipe_track.recipe.identity import names_through
from recipe_track.recipe.paths import record_at, zone_at
from recipe_track.recipe.records import Change, Decision
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.change.register import open_proposals
from recipe_track.workspace import WORKING, Revision, Workspace


@dataclass(frozen=True, slots=True)
class RevisionChoice:
    """One revision: `text` names it on the command line; `released` tells a release."""

    text: str
    shown: str
    date: str | None
    words: str
    released: bool = False


def revision_choices(ws: Workspace, model: str) -> tuple[RevisionChoice, ...]:
    """Working files first, then open proposals, then the revisions of the model, newest first."""
    return (*_working(ws), *_proposals(ws, model), *_revisions(ws, model))


def _working(ws: Workspace) -> Iterator[RevisionChoice]:
    if not ws.repo.bare:
        yield RevisionChoice(WORKING, WORKING, None, "the files as they lie")


def _proposals(ws: Workspace, model: str) -> Iterator[RevisionChoice]:
    for proposal in open_proposals(ws, ws.current()):
        if proposal.change.model == model:
            words = f"proposed, not decided: {proposal.change.title}"
            on = proposal.change.on.isoformat()
            yield RevisionChoice(proposal.branch.ref, proposal.id, on, words)


def _revisions(ws: Workspace, model: str) -> Iterator[RevisionChoice]:
    labels = ws.labels(model)
    released = {release.commit for release in labels.releases if release.on_main}
    for commit in labels.revisions:
        shown = labels.of(commit.id) or commit.id[:10]
        is_release = commit.id in released or shown in {release.label for release in labels.releases}
        yield RevisionChoice(commit.id, shown, commit.date, _reasons(ws, commit), is_release)


def _reasons(ws: Workspace, commit: Commit) -> str:
    return "; ".join(change.reason for change in changes_at(ws, commit))


@dataclass(frozen=True, slots=True)
class ChangeAt:
    """A change that a revision brought, and why."""

    change: str | None
    reason: str


@dataclass(frozen=True, slots=True)
class CourseEntry:
    """One revision; without figures where it cannot be read, and then with its problems."""

    revision: Revision
    author: str
    changes: tuple[ChangeAt, ...]
    zones: tuple[str, ...]
    point: CraftTotals | None
    zone_figures: ZoneFigures | None
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Course:
    """The revisions of a model, newest first; not complete in a shallow clone."""

    model: str
    zone: str | None
    currency: str | None
    entries: tuple[CourseEntry, ...]
    complete: bool


def course_of(ws: Workspace, model: str | None, zone: str | None = None) -> Course:
    """The course of a model, or of one of its zones through all its names."""
    chosen = ws.only_model(model) or ws.model_of(model, ws.current())
    revisions = ws.labels(chosen).revisions
    ws.prepare(commit.id for commit in revisions)
    snapshots = [ws.read(ws.revision_of(commit.id, chosen)) for commit in revisions]
    names = _names(zone, [s.snapshot for s in snapshots], chosen) if zone else frozenset()
    entries = _entries(ws, chosen, names)
    currency = snapshots[0].snapshot.prices.currency if snapshots and snapshots[0].snapshot.prices else None
    return Course(chosen, zone, currency, entries, not ws.repo.shallow)


def _entries(ws: Workspace, model: str, names: frozenset[str]) -> tuple[CourseEntry, ...]:
    known: dict[object, LayerPlies] = {}
    cases: dict[str, ZoneCase] = {}
    entries: list[CourseEntry] = []
    for commit in ws.labels(model).revisions:
        touched = zones_touched(commit, model)
        if names and not names.intersection(touched):
            continue
        reading = ws.read(ws.revision_of(commit.id, model))
        problems = reading.problems
        point = None
        if not problems and model in reading.snapshot.models:
            try:
                point = craft_totals(reading.snapshot, model, known)
            except NotComputable as missing:
                problems = (Problem(f"models/{model}", None, None, "not-computable", str(missing)),)
        if point is not None and names and (case := _case(reading.snapshot, model, names)):
            cases[commit.id] = case
        entries.append(_entry(ws, commit, model, touched, point, problems))
    return _with_zone_figures(entries, cases)


def _entry(
    ws: Workspace,
    commit: Commit,
    model: str,
    touched: tuple[str, ...],
    point: CraftTotals | None,
    problems: tuple[Problem, ...],
) -> CourseEntry:
    changes = tuple(changes_at(ws, commit))
    return CourseEntry(
        ws.revision_of(commit.id, model), commit.author, changes, touched, point, None, problems
    )


def _with_zone_figures(entries: Iterable[CourseEntry], cases: dict[str, ZoneCase]) -> tuple[CourseEntry, ...]:
    computed = dict(zip(cases, zone_figures(list(cases.values())), strict=True)) if cases else {}
    return tuple(replace(e, zone_figures=computed.get(e.revision.commit or "")) for e in entries)


def _case(snapshot: Snapshot, model: str, names: frozenset[str]) -> ZoneCase | None:
    cases = zone_cases(snapshot, snapshot.models[model])
    return next((case for case in cases if case.name in names), None)


def _names(zone: str, snapshots: list[Snapshot], model: str) -> frozenset[str]:
    """The name of a zone and those it had before; CallError where no revision knows it."""
    revisions = [snapshot.zones_of(model) for snapshot in snapshots]
    known = {name for zones in revisions for name in zones}
    if zone not in known:
        raise CallError(f"there is no zone `{zone}` in the history of {model}", nearest(zone, known))
    return names_through(zone, revisions)


def zones_touched(commit: Commit, model: str) -> tuple[str, ...]:
    """Names of the zones whose files a commit changed."""
    paths = sorted({path for change in commit.changes for path in change.paths})
    return tuple(zone for path in paths if (zone := zone_at(path, model)) is not None)


def changes_at(ws: Workspace, commit: Commit) -> list[ChangeAt]:
    """The changes a revision brought, out of the records it added; trailers only as a fallback.

    A commit without parents, an import or where a shallow clone ends, holds records that others brought.
    """
    brought = commit.changes if commit.parents else ()
    added = [record_at(change.path) for change in brought if change.status == "A"]
    ids = [record_id for record_id in added if record_id is not None]
    records = ws.records_named(commit.id, ids) if ids else {}
    about = [r.about for r in records.values() if isinstance(r, Decision) and r.decision == "approved"]
    named = [*about, *(i for i, r in records.items() if isinstance(r, Change) and i not in about)]
    changes = ws.records_named(commit.id, named) if named else {}
    recorded = [ChangeAt(i, c.reason) for i, c in changes.items() if isinstance(c, Change)]
    if recorded:
        return recorded
    reason = next(iter(commit.trailer("Reason")), commit.message.split("\n", 1)[0])
    return [ChangeAt(change, reason) for change in commit.trailer("Change") or (None,)]
