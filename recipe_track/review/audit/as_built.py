"""Hulls: their steps in order, not past a hold, what was decided for them done, changes looked at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from recipe_track.recipe.hulls import STARTED, steps_back
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.records import Change, Deviation, Step, Trial
from recipe_track.recipe.states import HOLD_SEVERITY, deviation_state, holds, open_trials, trial_state
from recipe_track.review.audit.finding import Finding, Place, found_in
from recipe_track.review.hull.effectivity import hull_action_name, open_hull_actions

if TYPE_CHECKING:
    from recipe_track.review.audit.scope import Scope

BUILT = ("demoulded", "fitted")


def _place(scope: Scope, record_id: str) -> Place:
    return found_in(scope.trail.origin_of[record_id].commit)


def _hulls(scope: Scope) -> Iterator[str]:
    return (number for number in scope.snapshot.numbers() if scope.of_model(number))


def check_on_hold(scope: Scope) -> Iterator[Finding]:
    """Every zone that is on hold, before all else."""
    for hold in holds(scope.snapshot):
        if scope.of_model(hold.hull):
            yield Finding(
                "hold", hold.zone, f"it is on hold on hull {hold.hull}: {hold.reason} ({hold.record})",
                f"`trial decide {hold.record}`, or propose a change that lists it"
                if hold.record.startswith("T-") else f"`deviation decide {hold.record}`",
                scope.trail.origin_of[hold.record].path, **_place(scope, hold.record), basis=(hold.record,),
            )  # fmt: skip


def check_steps(scope: Scope) -> Iterator[Finding]:
    """Steps that disagree, go back without a note, or name a commit that is not here."""
    for number in _hulls(scope):
        for parted in scope.snapshot.hull_state(number).disagreements:
            what = f"hull {number}, {parted.part}" if parted.part else f"hull {number}"
            yield Finding(
                "steps-disagree", what, f"{' and '.join(parted.steps)} follow the same step and differ",
                "say in the next step which is right: `hull part … --note`", None,
                **_place(scope, parted.steps[-1]), basis=parted.steps,
            )  # fmt: skip
        for part in scope.snapshot.hull_parts(number):
            for step in steps_back(scope.snapshot.records.of_kind(Step), number, part.part):
                yield Finding(
                    "step-back", f"hull {number}, {part.part}", f"{step} goes back and does not say why",
                    f"say what happened: `record correct {step}`", None, **_place(scope, step), basis=(step,),
                )  # fmt: skip
            if not scope.is_unseen(part.commit) and part.commit not in scope.fleet.recipes:
                yield Finding(
                    "hull-revision-missing", f"hull {number}, {part.part}",
                    f"the commit {part.commit[:10]} it was started to is not in this repository",
                    "fetch it from where the hull was started (`git fetch --tags`), while it is there",
                    None, **_place(scope, part.step), basis=(part.commit,),
                )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Held:
    """A hold there was or is: what put it on a zone, and what ended it."""

    record: str
    hull: str
    zone: str
    start: date
    ending: Mapping[str, date]  # decision → its day

    @property
    def end(self) -> date:
        return min(self.ending.values(), default=date.max)


def check_holds(scope: Scope) -> Iterator[Finding]:
    """No part moved on, and none of another hull was laid, over a hold, whatever is recorded later."""
    for held in _held(scope):
        for number, name, step in _steps_under(scope, held):
            if _is_over(scope, held, name, step):
                of = f"{held.record} on hull {held.hull}" if number != held.hull else held.record
                yield Finding(
                    "hold-ignored", f"hull {number}, {step.part}",
                    f"it went on ({step.state}, {step.on}) while {held.zone} was on hold by {of}",
                    f"decide on {held.record}, and say in an action what was inspected since",
                    None, **_place(scope, name), basis=(name, held.record),
                )  # fmt: skip


def _steps_under(scope: Scope, held: _Held) -> Iterator[tuple[str, str, Step]]:
    """Steps of the part that a hold is about: all that begin work on its copy, the laying of others."""
    part, hulls, records = part_of(held.zone), scope.snapshot.hulls, scope.snapshot.records
    copy = records.copy_of(held.record)
    for number in _hulls(scope):
        if number != held.hull and (held.hull not in hulls or hulls[number].model != hulls[held.hull].model):
            continue
        for name, step in records.steps_of(number, part):
            is_same = records.copy_at(number, part, name) == copy
            if step.state in (STARTED if is_same else ("in-mould",)):
                yield number, name, step


def _is_over(scope: Scope, held: _Held, name: str, step: Step) -> bool:
    """Whether a step is of a day under the hold, or was written while it stood: days are only typed."""
    if held.start < step.on < held.end:
        return True
    origins = scope.trail.origin_of
    before = scope.trail.behind(origins[name].commit.id)
    ended = any(origins[decision].commit.id in before for decision in held.ending)
    return origins[held.record].commit.id in before and not ended


def _held(scope: Scope) -> Iterator[_Held]:
    """Every hold there was or is."""
    records = scope.snapshot.records
    for trial_id, trial in records.of_kind(Trial):
        if trial.severity >= HOLD_SEVERITY:
            about = (trial_id, *records.changes_answering(trial_id))
            ending = {i: d.on for name in about for i, d in records.decisions_about(name)}
            yield _Held(trial_id, trial.hull, trial.zone, trial.on, ending)
    for deviation_id, deviation in records.of_kind(Deviation):
        ending = {i: d.on for i, d in records.decisions_about(deviation_id)}
        yield _Held(deviation_id, deviation.hull, deviation.zone, deviation.on, ending)


def check_answered(scope: Scope) -> Iterator[Finding]:
    """Every observation of severity 4 or 5 that is contained is answered, too; an open one is a hold."""
    for trial_id, trial in open_trials(scope.snapshot.records):
        contained = trial_state(scope.snapshot.records, trial_id) == "contained"
        severe = trial.severity >= HOLD_SEVERITY and not scope.acted_on(trial_id)
        if severe and contained and scope.of_model(trial.hull):
            yield Finding(
                "observation-unanswered", trial_id,
                f"severity {trial.severity}, {trial.observation} in {trial.zone} of hull {trial.hull}"
                f" since {trial.on}: contained, but not answered",
                f"propose a change that lists it, `trial decide {trial_id}`, or `action record {trial_id}`",
                scope.trail.origin_of[trial_id].path, **_place(scope, trial_id),
            )  # fmt: skip


def check_nonconformities(scope: Scope) -> Iterator[Finding]:
    """A nonconformity refused on a fitted part is put right; an undecided one is a hold."""
    records = scope.snapshot.records
    for name, deviation in records.of_kind(Deviation):
        if deviation.type != "nonconformity" or not scope.of_model(deviation.hull):
            continue
        hull, part = records.copies.get(records.copy_of(name) or "", (deviation.hull, None))
        answered = name in records.answered_by_change or scope.acted_on(name)
        refused = deviation_state(records, name) == "refused"
        if refused and part is not None and part.state == "fitted" and not answered:
            yield Finding(
                "nonconformity-open", name,
                f"it is refused, and {part.part} of hull {hull} is fitted with it",
                f"put it right and say so: `action record {name} --cause … --done …`",
                scope.trail.origin_of[name].path, **_place(scope, name),
            )  # fmt: skip


def check_effective(scope: Scope) -> Iterator[Finding]:
    """A change that was verified as not confirmed is answered by another, or by what was done."""
    records = scope.snapshot.records
    for change_id, change in records.approved_changes.items():
        verifications = records.verifications_of(change_id)
        if not verifications or verifications[-1][1].outcome == "confirmed" or not scope.concerns(change):
            continue
        name = verifications[-1][0]
        if name not in records.answered_by_change and not scope.acted_on(change_id, name):
            yield Finding(
                "change-not-confirmed", change_id,
                f"“{change.title}” did not work on hull {verifications[-1][1].hull} ({name})",
                f"propose another with --answers {name}, or `action record {change_id}`",
                None, **_place(scope, name), basis=(name,),
            )  # fmt: skip


def check_hull_actions(scope: Scope) -> Iterator[Finding]:
    """A rework or retrofit that was decided for a built part is done."""
    for change_id, change in scope.snapshot.records.approved_changes.items():
        for hull, part, action in open_hull_actions(scope.snapshot, scope.fleet, change_id):
            part_id = part.part
            if not scope.concerns(change):
                continue
            if not scope.acted_on(change_id, hull_action_name(hull, part_id)):
                decision = scope.snapshot.records.decisions_about(change_id)[-1][0]
                yield Finding(
                    "hull-action-open", f"hull {hull}, {part_id}",
                    f"the {action} of {change_id} “{change.title}” is not done",
                    f"`hull part {hull} --part {part_id} --state {part.state} --done {change_id}` once it is",
                    None, **_place(scope, decision), basis=(change_id, hull, part_id),
                )  # fmt: skip


def check_verified(scope: Scope) -> Iterator[Finding]:
    """A change built into a hull was verified."""
    for change_id, change in scope.snapshot.records.approved_changes.items():
        landing = scope.fleet.landed.get(change_id)
        if landing is None or change.model is None or not scope.looks_at(change.model):
            continue
        if scope.snapshot.records.verifications_of(change_id):
            continue
        carriers = scope.fleet.carriers(landing, change.model)
        built = tuple(dict.fromkeys(carrier.hull for carrier in carriers if carrier.part.state in BUILT))
        if built:
            yield _unverified(scope, change_id, change, built)


def _unverified(scope: Scope, change_id: str, change: Change, built: tuple[str, ...]) -> Finding:
    hulls = f"hull{'s' if len(built) > 1 else ''} {', '.join(built)}"
    return Finding(
        "change-unverified", change_id,
        f"“{change.title}” is built into {hulls}, and nobody recorded whether it works",
        f"look or measure, then `change verify {change_id} --hull {built[-1]} --outcome …`",
        scope.trail.origin_of[change_id].path, **_place(scope, change_id), basis=(change_id,),
    )  # fmt: skip


RULES = (
    check_on_hold,
    check_steps,
    check_holds,
    check_answered,
    check_nonconformities,
    check_effective,
    check_hull_actions,
    check_verified,
)
