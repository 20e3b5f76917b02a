"""Decisions: made by someone entitled, not by the one who asked, and not against each other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, get_args

from recipe_track.recipe.entitlement import DeciderFault, decider_fault
from recipe_track.recipe.records import CONFIRMED, Change, Decision, Deviation, Record, Trial, Verification
from recipe_track.review.audit.finding import Finding, Place, found_in, said_by_action

if TYPE_CHECKING:
    from recipe_track.review.audit.scope import Scope

FAULTS = get_args(DeciderFault)


def _decided(scope: Scope) -> Iterator[tuple[str, Decision, Record]]:
    """Every decision that names what it decides, those without effect for who made them among them."""
    for decision_id, decision in scope.trail.written.all_of(Decision).items():
        subject = scope.trail.subject_of(decision)
        wanted = isinstance(subject, Change | Deviation | Trial) and decision.decision != CONFIRMED
        void = scope.trail.void.get(decision_id)
        if subject is not None and wanted and void in (None, *FAULTS) and scope.concerns(subject):
            yield decision_id, decision, subject


def _place(scope: Scope, record_id: str) -> Place:
    return found_in(scope.trail.origin_of[record_id].commit)


def check_deciders(scope: Scope) -> Iterator[Finding]:
    """Nobody approves what they proposed where settings say so, and only approvers decide.

    A decision that a merge brings has to satisfy the settings of both sides. What someone else who may has
    decided alike is in order.
    """
    decided = list(_decided(scope))
    sound = {(d.about, d.decision) for i, d, subject in decided if not list(_faults(scope, i, d, subject))}
    for decision_id, decision, subject in decided:
        if (decision.about, decision.decision) in sound:
            continue
        for rule, message, remedy in _faults(scope, decision_id, decision, subject):
            what = f"{decision_id} about {decision.about}"
            yield Finding(rule, what, message, remedy, None, **_place(scope, decision_id))


def _faults(
    scope: Scope, decision_id: str, decision: Decision, subject: Record
) -> Iterator[tuple[str, str, str]]:
    """Rule, message and remedy of what a decision lacks in the person who made it."""
    makers = tuple(_makers(scope, decision_id))
    fault = decider_fault(decision, subject, scope.trail.rules_for(decision_id), makers)
    void = "; it has no effect" if decision_id in scope.trail.void else ""
    if fault == "approved-by-proposer":
        did = f"decided `{decision.decision}` on" if isinstance(subject, Trial) else decision.decision
        what = "logged" if isinstance(subject, Trial) else "asked for"
        message = f"{decision.by} {did} what they {what} themselves{void}"
        yield fault, message, "have it looked at by someone else, who decides on it again"
    elif fault == "approver-not-entitled":
        message = f"{decision.by} was not among the approvers when this was {decision.decision}"
        yield fault, f"{message}{void}", "have it decided again by an approver"


def _makers(scope: Scope, decision_id: str) -> Iterator[str]:
    """Who made the commits of the change that was decided; who squashes it with the decision made none."""
    decision = scope.snapshot.records.get(decision_id)
    landing = scope.fleet.landed.get(decision.about) if isinstance(decision, Decision) else None
    path = scope.trail.origin_of[decision_id].path
    for commit in landing.copies if landing else ():
        made = scope.trail.by_id[commit]
        if not any(touch.path == path for touch in made.touches):
            yield made.author_mail


def check_named(scope: Scope) -> Iterator[Finding]:
    """A decision on a change names the very record that is on main, or was made again on that."""
    for name, why in scope.trail.void.items():
        decision = scope.trail.written[name]
        if why != "other-version" or not isinstance(decision, Decision) or not scope.concerns(decision):
            continue
        origin = scope.trail.origin_of.get(decision.about)
        if origin is not None and scope.trail.standing_of(decision.about)[0] == "undecided":
            yield Finding(
                "record-altered", decision.about,
                f"{name} decided on another version of it than the one on main; it has no effect",
                f"have it decided as it is: `change approve {decision.about}`, or `change reject`",
                origin.path, **found_in(origin.commit), basis=(decision.decides or "", origin.blob),
            )  # fmt: skip


def check_contradictions(scope: Scope) -> Iterator[Finding]:
    """Records in force do not say opposite things."""
    for kind in (Change, Deviation):
        for record_id, record in scope.snapshot.records.of_kind(kind):
            if scope.concerns(record):
                yield from _opposed(scope, record_id)
    for change_id, change in scope.snapshot.records.of_kind(Change):
        if scope.concerns(change):
            yield from _verified_too_soon(scope, change_id)
            yield from _verified_both_ways(scope, change_id)


def _contradiction(scope: Scope, record_id: str, subject: str, message: str) -> Finding:
    remedy = said_by_action("records-contradict", subject)
    return Finding("records-contradict", subject, message, remedy, None, **_place(scope, record_id))


def _opposed(scope: Scope, subject: str) -> Iterator[Finding]:
    decisions = scope.snapshot.records.decisions_about(subject)
    if len({decision.decision for _, decision in decisions}) > 1:
        said = " and ".join(f"{d.decision} ({i}, {d.on})" for i, d in decisions)
        yield _contradiction(scope, decisions[-1][0], subject, f"it is {said}")


def _verified_too_soon(scope: Scope, change_id: str) -> Iterator[Finding]:
    records = scope.snapshot.records
    approvals = [d.on for _, d in records.decisions_about(change_id) if d.decision == "approved"]
    for verification_id, verification in records.verifications_of(change_id):
        if not approvals:
            message = f"it verifies {change_id}, which is not approved"
            yield _contradiction(scope, verification_id, verification_id, message)
        elif verification.on < approvals[0]:
            message = f"it verifies {change_id} on {verification.on}, before its approval"
            yield _contradiction(scope, verification_id, verification_id, message)


def _verified_both_ways(scope: Scope, change_id: str) -> Iterator[Finding]:
    by_hull: dict[str, list[tuple[str, Verification]]] = {}
    for pair in scope.snapshot.records.verifications_of(change_id):
        by_hull.setdefault(pair[1].hull, []).append(pair)
    for hull, verifications in by_hull.items():
        if len({v.outcome for _, v in verifications}) > 1:
            said = " and ".join(f"{v.outcome} ({i}, {v.on})" for i, v in verifications)
            yield _contradiction(scope, verifications[-1][0], change_id, f"on hull {hull} it is {said}")


RULES = (check_deciders, check_named, check_contradictions)
