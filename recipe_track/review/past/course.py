"""The course of a model or a zone through its revisions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from recipe_track.errors import CallError, Problem
from recipe_track.figures.craft import zone_case
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.totals import Totals
from recipe_track.history.log import walk
from recipe_track.impact.materials import files_behind
from recipe_track.recipe.identity import names_through
from recipe_track.recipe.paths import PRICES_PATH, material_path, zone_at
from recipe_track.recipe.records import Change
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.states import Hold, holds_of_zone
from recipe_track.review.past.changes_on_main import changes_in
from recipe_track.workspace import Reading, Revision, Workspace

if TYPE_CHECKING:
    from recipe_track.figures.cases import ZoneCase
    from recipe_track.figures.results import CraftTotals, ZoneFigures
    from recipe_track.history.ancestry import Ancestor
    from recipe_track.recipe.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class ChangeAt:
    """A change that a revision brought, and why."""

    change: str | None
    reason: str


def joins_words(changes: Iterable[ChangeAt]) -> str:
    """`joins C-2M9XQ4, C-7K3QX2`: what a merge of two lines brought to the one it was made on."""
    return f"joins {', '.join(change.change or change.reason for change in changes)}"


@dataclass(frozen=True, slots=True)
class CourseEntry:
    """One revision; without figures where it cannot be read, and then with its problems.

    `joins` tells a merge of two lines, which landed nothing itself: its changes are those it brought over.
    `base` is the commit of the entry it was made on, the first of a merge: deltas are against that. `drawn`
    tells a revision that holds all older ones, so that a course can be drawn through it.
    """

    revision: Revision
    author: str
    joins: bool
    changes: tuple[ChangeAt, ...]
    zones: tuple[str, ...]
    point: CraftTotals | None
    zone_figures: ZoneFigures | None
    problems: tuple[Problem, ...]
    base: str | None = None
    drawn: bool = True


@dataclass(frozen=True, slots=True)
class Course:
    """The revisions of a model, newest first; not complete in a shallow clone."""

    model: str
    zone: str | None
    currency: str | None
    entries: tuple[CourseEntry, ...]
    complete: bool
    holds: tuple[Hold, ...] = ()


def course_of(ws: Workspace, model: str | None, zone: str | None = None) -> Course:
    """The course of a model, or of one of its zones through all its names."""
    chosen = ws.only_model(model) or ws.model_of(model, ws.current())
    revisions = ws.labels(chosen).revisions
    oldest_first = [commit.id for commit in reversed(revisions)]
    readings = dict(ws.along(oldest_first))
    newest_first = [readings[commit.id].snapshot for commit in revisions]
    names = _names(ws, zone, newest_first, chosen) if zone else frozenset()
    entries = _entries(ws, chosen, names, readings)
    currency = newest_first[0].prices.currency if newest_first and newest_first[0].prices else None
    held = holds_of_zone(ws.current(), chosen, zone) if zone else ()
    return Course(chosen, zone, currency, entries, not ws.repo.shallow, held)


def _entries(
    ws: Workspace, model: str, names: frozenset[str], readings: Mapping[str, Reading]
) -> tuple[CourseEntry, ...]:
    totals = Totals()
    cases: dict[str, ZoneCase] = {}
    entries: list[CourseEntry] = []
    revisions = ws.labels(model).revisions
    for commit, older in zip(revisions, (*revisions[1:], None), strict=True):
        touched = zones_touched(commit, model)
        reading = readings[commit.id]
        before = readings[older.id] if older is not None else reading
        if names and not names.intersection(touched) and not _reached(commit, reading, before, model, names):
            continue
        problems = reading.problems
        point = None
        if not problems and model in reading.snapshot.models:
            try:
                point = totals.of(reading.snapshot, model)
            except NotComputable as missing:
                problems = (Problem(f"models/{model}", None, None, "not-computable", str(missing)),)
        if point is not None and names and (case := _case(reading.snapshot, model, names)):
            cases[commit.id] = case
        entries.append(_entry(ws, commit, model, touched, point, problems))
    return _with_zone_figures(_placed(ws, model, entries), cases)


def _placed(ws: Workspace, model: str, entries: Iterable[CourseEntry]) -> Iterator[CourseEntry]:
    """Each entry with the one it was made on, and whether it holds all older ones."""
    listed = {str(entry.revision.commit): entry for entry in entries}
    labels = ws.labels(model)
    bases: dict[str, str | None] = {}
    for revision in reversed(labels.revisions):
        before = labels.revision(revision.parents[0]) if revision.parents else None
        is_listed = before is not None and before.id in listed
        bases[revision.id] = before.id if before and is_listed else bases.get(before.id) if before else None
    for name, entry in listed.items():
        yield replace(entry, base=bases[name], drawn=name in labels.through)


def _reached(commit: Ancestor, reading: Reading, older: Reading, model: str, names: frozenset[str]) -> bool:
    """Whether a commit reached a zone from outside its file: through its part, a material or a price."""
    there = names & reading.snapshot.zones_of(model).keys()
    behind = frozenset[str]().union(*(files_behind(reading.snapshot, model, name) for name in there))
    paths = {touch.path for touch in commit.touches}
    if paths & behind:
        return True
    return bool(there) and PRICES_PATH in paths and _priced(reading, behind) != _priced(older, behind)


def _priced(reading: Reading, behind: frozenset[str]) -> object:
    """The prices that concern some materials, and all that are for no material."""
    prices = reading.snapshot.prices
    if prices is None:
        return None
    materials = {name: price for name, price in prices.materials.items() if material_path(name) in behind}
    return prices.model_copy(update={"materials": materials})


def _entry(
    ws: Workspace,
    commit: Ancestor,
    model: str,
    touched: tuple[str, ...],
    point: CraftTotals | None,
    problems: tuple[Problem, ...],
) -> CourseEntry:
    changes = tuple(changes_at(ws, commit))
    return CourseEntry(
        ws.revision_of(commit.id, model), author_of(ws, commit), is_join(ws, commit), changes, touched,
        point, None, problems,
    )  # fmt: skip


def _with_zone_figures(entries: Iterable[CourseEntry], cases: dict[str, ZoneCase]) -> tuple[CourseEntry, ...]:
    if not cases:
        return tuple(entries)
    from recipe_track.figures.zone import (
        zone_figures,  # panels and their fields, which a model's course needs not
    )

    computed = dict(zip(cases, zone_figures(list(cases.values())), strict=True))
    return tuple(replace(e, zone_figures=computed.get(e.revision.commit or "")) for e in entries)


def _case(snapshot: Snapshot, model: str, names: frozenset[str]) -> ZoneCase | None:
    tree = snapshot.models[model]
    name = min(names & tree.zones.keys(), default=None)
    return zone_case(snapshot, tree, name) if name else None


def _names(ws: Workspace, zone: str, snapshots: list[Snapshot], model: str) -> frozenset[str]:
    """The name of a zone and those it had or got, by `formerly` or by git; CallError where none knows it."""
    revisions = [snapshot.zones_of(model) for snapshot in snapshots]
    known = {name for zones in revisions for name in zones}
    if zone not in known:
        raise CallError(f"there is no zone `{zone}` in the history of {model}", nearest(zone, known))
    names, renamed = names_through(zone, revisions), _renamed(ws, model)
    while more := {one for pair in renamed if set(pair) & names for one in pair} - names:
        names = names.union(*(names_through(one, revisions) for one in more if one in known), more)
    return names


def _renamed(ws: Workspace, model: str) -> list[tuple[str, str]]:
    """Names of zones before and after every rename that git alone tells of."""
    commits = walk(ws.repo, ws.tip(), first_parent=False)
    moved = (change for commit in commits for change in commit.changes if change.status == "R")
    pairs = ((zone_at(change.old_path or "", model), zone_at(change.path, model)) for change in moved)
    return [(old, new) for old, new in pairs if old and new]


def zones_touched(commit: Ancestor, model: str) -> tuple[str, ...]:
    """Names of the zones whose files a commit changed."""
    zones = {zone_at(touch.path, model) for touch in commit.touches}
    return tuple(sorted(zone for zone in zones if zone is not None))


def is_join(ws: Workspace, commit: Ancestor) -> bool:
    """Whether a revision only joined two lines: a merge that brought changes and landed none itself."""
    verdict = ws.trail.verdict
    return commit.id not in verdict.landed_by and bool(verdict.joined_by.get(commit.id))


def changes_at(ws: Workspace, commit: Ancestor) -> list[ChangeAt]:
    """The changes a revision brought, by what decisions cover; else what the commit says of itself."""
    records = ws.current().records
    brought = {name: records.get(name) for name in changes_in(ws, commit.id)}
    known = [ChangeAt(name, change.reason) for name, change in brought.items() if isinstance(change, Change)]
    if known:
        return known
    reason = next(iter(commit.trailer("Reason")), commit.message.split("\n", 1)[0])
    return [ChangeAt(None, reason)]


def author_of(ws: Workspace, commit: Ancestor) -> str:
    """Whose revision it is: the change's own proposer, else who made the commit."""
    records = ws.current().records
    changes = [records.get(name) for name in changes_in(ws, commit.id)]
    people = dict.fromkeys(change.by.rsplit(" <", 1)[0] for change in changes if isinstance(change, Change))
    return ", ".join(people) or commit.author
