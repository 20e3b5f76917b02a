"""Hulls built to releases, not past a hold, telling whether changes worked; observations answered."""

from collections.abc import Iterator
from datetime import date

from recipe_track.history.objects import has_commit
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.records import Change, Deviation, Trial
from recipe_track.recipe.states import (
    HOLD_SEVERITY,
    open_trials,
    trial_state,
)
from recipe_track.review.audit.scope import Finding, Scope
from recipe_track.review.hull.effectivity import STARTED

BUILT = ("demoulded", "fitted")


def check_revisions(scope: Scope) -> Iterator[Finding]:
    """Every part of a hull names a release, and a commit that is there."""
    released = {(model, release.label) for model, release in scope.releases()}
    for number, hull in sorted(scope.snapshot.hulls.items()):
        for part in hull.part if hull.model in scope.models else ():
            where = f"hull {number}, {part.part}"
            if (hull.model, part.revision) not in released:
                yield Finding(
                    "hull-unreleased", where,
                    f"it is built to {part.revision}, which is not released",
                    "fetch the tags (`git fetch --tags`); if there is none, release what it was built to",
                )  # fmt: skip
            if not has_commit(scope.ws.repo, part.commit):
                yield Finding(
                    "hull-revision-missing", where,
                    f"the commit {part.commit[:10]} it was started to is not in this repository",
                    "fetch it from where the hull was started, before it is cleaned away",
                )  # fmt: skip


def check_parts_on_hold(scope: Scope) -> Iterator[Finding]:
    """No part moved on while one of its zones was on hold on that hull."""
    for record_id, hull, zone, start, end in _held(scope):
        part = scope.snapshot.hulls[hull].part_named(part_of(zone)) if scope.of_model(hull) else None
        if part and part.state in STARTED and start < part.on < end:
            yield Finding(
                "hold-ignored", f"hull {hull}, {part.part}",
                f"it went on ({part.state}, {part.on}) while {zone} was on hold by {record_id}",
                f"decide on {record_id}, and inspect what was covered meanwhile",
            )  # fmt: skip


def _held(scope: Scope) -> Iterator[tuple[str, str, str, date, date]]:
    """Record, hull, zone, first day and last day of every hold there was or is."""
    records = scope.snapshot.records
    for trial_id, trial in records.of_kind(Trial):
        if trial.severity >= HOLD_SEVERITY:
            decided = [d.on for _, d in records.decisions_about(trial_id)]
            answering = records.changes_answering(trial_id)
            decided += [d.on for i in answering for _, d in records.decisions_about(i)]
            yield trial_id, trial.hull, trial.zone, trial.on, min(decided, default=date.max)
    for deviation_id, deviation in records.of_kind(Deviation):
        decided = [d.on for _, d in records.decisions_about(deviation_id)]
        yield deviation_id, deviation.hull, deviation.zone, deviation.on, min(decided, default=date.max)


def check_verified(scope: Scope) -> Iterator[Finding]:
    """A change built into a hull was verified."""
    for change_id, change in scope.snapshot.records.approved_changes.items():
        landed = scope.landed.get(change_id)
        if landed is None or change.model not in scope.models:
            continue
        if scope.snapshot.records.verifications_of(change_id):
            continue
        parts = scope.effectivity.parts_with(landed, change.model)
        hulls = tuple(dict.fromkeys(built.hull for built in parts if built.part.state in BUILT))
        if hulls:
            yield _unverified(change_id, change, hulls)


def _unverified(change_id: str, change: Change, built: tuple[str, ...]) -> Finding:
    hulls = f"hull{'s' if len(built) > 1 else ''} {', '.join(built)}"
    return Finding(
        "change-unverified", change_id,
        f"“{change.title}” is built into {hulls}, and nobody recorded whether it works",
        f"look or measure, then `change verify {change_id} --hull {built[-1]} --outcome …`",
    )  # fmt: skip


RULES = (check_revisions, check_parts_on_hold, check_verified)


def check_answered(scope: Scope) -> Iterator[Finding]:
    """Every observation of severity 4 or 5 is answered by an approved change or a decision."""
    for trial_id, trial in open_trials(scope.snapshot.records):
        if trial.severity < HOLD_SEVERITY or not scope.of_model(trial.hull):
            continue
        contained = trial_state(scope.snapshot.records, trial_id) == "contained"
        state = "contained, but not answered" if contained else "neither contained nor answered"
        hold = "" if contained else f"; {trial.zone} is on hold"
        yield Finding(
            "observation-unanswered", trial_id,
            f"severity {trial.severity}, {trial.observation} in {trial.zone} of hull {trial.hull}"
            f" since {trial.on}: {state}{hold}",
            f"propose a change that lists it, or `trial decide {trial_id}`",
        )  # fmt: skip


OBSERVATION_RULES = (check_answered,)
