"""Minima and margins along the history of a model: what each revision broke or re-based, who checked it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from recipe_track.figures.materials import NotComputable
from recipe_track.history.ancestry import Ancestor
from recipe_track.recipe.identity import names_of
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.change.minima import Concern, Known, Shortfall, concerns, shortfalls
from recipe_track.review.past.changes_on_main import changes_in
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class StepConcerns:
    """One revision, the changes it brought, what it does to the minima, and whether that was re-verified."""

    commit: Ancestor
    changes: tuple[str, ...]
    concerns: tuple[Concern, ...]
    reverified: bool


@dataclass(frozen=True, slots=True)
class RevisionStep:
    """One revision as written, what it was made on (None for a first one), and the changes it brought."""

    commit: Ancestor
    before: Snapshot | None
    after: Snapshot
    changes: tuple[str, ...]


def fetch_steps(ws: Workspace, model: str, tip: str) -> tuple[RevisionStep, ...]:
    """Every revision of a model up to a tip, oldest first."""
    revisions = _revisions(ws, model, tip)
    pairs = (name for commit in revisions for name in (*commit.parents[:1], commit.id))
    readings = (reading.snapshot for _, reading in ws.along(pairs))
    return tuple(
        RevisionStep(
            commit, next(readings) if commit.parents else None, next(readings), changes_in(ws, commit.id)
        )
        for commit in revisions
    )


def step_concerns(steps: Iterable[RevisionStep], snapshot: Snapshot, model: str) -> Iterator[StepConcerns]:
    """What each revision did to the required minima, by the snapshot's records."""
    known = Known()
    for step in steps:
        concerned = _concerns(step.before, step.after, model, known)
        covered = any(_is_reverified(snapshot, change) for change in step.changes)
        if concerned:
            yield StepConcerns(step.commit, step.changes, concerned, covered)


def _revisions(ws: Workspace, model: str, tip: str) -> tuple[Ancestor, ...]:
    """Revisions of a model at or before a commit of main, oldest first."""
    behind = ws.trail.behind(tip)
    return tuple(commit for commit in reversed(ws.labels(model).revisions) if commit.id in behind)


def _concerns(before: Snapshot | None, after: Snapshot, model: str, known: Known) -> tuple[Concern, ...]:
    try:
        return concerns(before, after, model, known)
    except NotComputable:  # an invalid revision is a finding of its own
        return ()


def _is_reverified(snapshot: Snapshot, change: str) -> bool:
    return any(
        decision.decision == "approved" and decision.reverification is not None
        for _, decision in snapshot.records.decisions_about(change)
    )


@dataclass(frozen=True, slots=True)
class Uncovered:
    """What falls short at a tip without a re-verification, and the step by which it last got worse."""

    zone: str
    key: str
    shortfall: Shortfall
    step: StepConcerns | None
    value: float


def uncovered(ws: Workspace, model: str) -> tuple[Uncovered, ...]:
    """Minima not met and uses above 1 at main's tip that no re-verification covers."""
    snapshot = ws.current()
    if not shortfalls(snapshot, model):
        return ()
    return tuple(uncovered_in(fetch_steps(ws, model, ws.tip()), snapshot, model))


def uncovered_in(steps: Iterable[RevisionStep], snapshot: Snapshot, model: str) -> Iterator[Uncovered]:
    """The same of steps that were fetched, at the snapshot that the last of them came to."""
    short = shortfalls(snapshot, model)
    if not short:
        return
    last, covered = _last_steps(step_concerns(steps, snapshot, model))
    zones = snapshot.zones_of(model)
    for name, found in sorted(short.items()):
        for key, one in found.items():
            known = next(((n, key) for n in names_of(name, zones[name]) if (n, key) in last), None)
            if known is None:
                yield Uncovered(name, key, one, None, one.value)
            elif known not in covered:
                step, value = last[known]
                yield Uncovered(name, key, one, step, one.value if value is None else value)


_Key = tuple[str, str]


def _last_steps(
    steps: Iterable[StepConcerns],
) -> tuple[dict[_Key, tuple[StepConcerns, float | None]], set[_Key]]:
    """Per zone and key the step by which it last got worse, and which of them are covered.

    A re-verification of a zone covers all that fell short in it by then.
    """
    last: dict[_Key, tuple[StepConcerns, float | None]] = {}
    covered: set[_Key] = set()
    for step in steps:
        for one in step.concerns:
            if one.kind in ("broken", "exceeded"):
                last[one.zone, one.key] = (step, one.value)
                covered.discard((one.zone, one.key))
        if step.reverified:
            checked = {one.zone for one in step.concerns}
            covered |= {key for key in last if key[0] in checked}
    return last, covered
