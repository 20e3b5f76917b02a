"""Required minima along the history of a model: what each revision broke or re-based, and who checked it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from recipe_track.figures.materials import NotComputable
from recipe_track.figures.results import Requirement
from recipe_track.history.ancestry import Ancestor
from recipe_track.recipe.identity import names_of
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.change.minima import Concern, Known, concerns, unmet
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


def uncovered(ws: Workspace, model: str) -> Iterator[tuple[str, Requirement]]:
    """Minima not met at main's tip that no re-verification covers."""
    snapshot = ws.current()
    broken = unmet(snapshot, model)
    if not broken:
        return
    covered: dict[tuple[str, str], bool] = {}
    for step in step_concerns(fetch_steps(ws, model, ws.tip()), snapshot, model):
        covered |= {(c.zone, c.key): step.reverified for c in step.concerns if c.kind == "broken"}
    zones = snapshot.zones_of(model)
    for name, requirements in sorted(broken.items()):
        for key, requirement in requirements.items():
            known = [covered[n, key] for n in names_of(name, zones[name]) if (n, key) in covered]
            if not known or not known[0]:
                yield name, requirement
