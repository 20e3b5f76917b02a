"""Decisions: made by someone entitled, not by the one who asked, and not against each other."""

from collections.abc import Iterator

from recipe_track.recipe.craft import Approval, Settings
from recipe_track.recipe.paths import record_at
from recipe_track.recipe.records import Change, Decision, Deviation, Record, Verification
from recipe_track.review.audit.scope import Finding, Scope
from recipe_track.review.authority import is_entitled, parent_of, same_person, settings_before

ACCEPTING = ("approved", "accepted")


def _added_in(scope: Scope) -> dict[str, str | None]:
    """Record → the state before the commit that brought it to main."""
    before: dict[str, str | None] = {}
    for commit in reversed(scope.commits):
        for change in commit.changes:
            if change.status == "A" and (record_id := record_at(change.path)):
                before.setdefault(record_id, parent_of(commit))
    return before


def _rules_then(scope: Scope, known: dict[str | None, Approval], before: str | None) -> Approval:
    """The approval settings in force when a decision was written."""
    if before not in known:
        settings = settings_before(scope.ws, before)
        known[before] = (settings if isinstance(settings, Settings) else scope.snapshot.settings).approval
    return known[before]


def _accepting(scope: Scope) -> Iterator[tuple[str, Decision, Record, Approval]]:
    before, known = _added_in(scope), dict[str | None, Approval]()
    for decision_id, decision in scope.snapshot.records.of_kind(Decision):
        subject = scope.snapshot.records.get(decision.about)
        if isinstance(subject, Change | Deviation) and _concerns(scope, subject):
            yield decision_id, decision, subject, _rules_then(scope, known, before.get(decision_id))


def _concerns(scope: Scope, record: Record) -> bool:
    if isinstance(record, Change):
        return record.model in scope.models
    hull = getattr(record, "hull", None)
    return hull is None or scope.of_model(hull)


def check_deciders(scope: Scope) -> Iterator[Finding]:
    """Nobody approves what they proposed where settings say so, and only approvers decide."""
    for decision_id, decision, subject, approval in _accepting(scope):
        what = f"{decision_id} about {decision.about}"
        accepting = decision.decision in ACCEPTING
        if accepting and approval.distinct_approver and same_person(decision.by, subject.by):
            yield Finding(
                "approved-by-proposer", what,
                f"{decision.by} {decision.decision} what they asked for themselves",
                "have it looked at by someone else, who records a decision that replaces this one",
            )  # fmt: skip
        withdrawn = not accepting and same_person(decision.by, subject.by)
        if not withdrawn and not is_entitled(approval, decision.by):
            yield Finding(
                "approver-not-entitled", what,
                f"{decision.by} was not among the approvers when this was {decision.decision}",
                "have it decided by an approver, who records a decision that replaces this one",
            )  # fmt: skip


def check_contradictions(scope: Scope) -> Iterator[Finding]:
    """Records in force do not say opposite things, nor things before their time."""
    for change_id, change in scope.snapshot.records.of_kind(Change):
        if change.model in scope.models:
            yield from _opposed(scope, change_id)
            yield from _verified_too_soon(scope, change_id)
            yield from _verified_both_ways(scope, change_id)
    for deviation_id, deviation in scope.snapshot.records.of_kind(Deviation):
        if scope.of_model(deviation.hull):
            yield from _opposed(scope, deviation_id)
    for decision_id, decision in scope.snapshot.records.of_kind(Decision):
        subject = scope.snapshot.records.get(decision.about)
        if subject is not None and _concerns(scope, subject) and decision.on < subject.on:
            yield _contradiction(
                decision_id, f"it decides on {decision.on} about {decision.about}, which is of {subject.on}"
            )


def _contradiction(subject: str, message: str) -> Finding:
    remedy = "find out which is right, and write a record that replaces the wrong one (`replaces`)"
    return Finding("records-contradict", subject, message, remedy)


def _opposed(scope: Scope, subject: str) -> Iterator[Finding]:
    decisions = scope.snapshot.records.decisions_about(subject)
    if len({decision.decision for _, decision in decisions}) > 1:
        said = " and ".join(f"{d.decision} ({i}, {d.on})" for i, d in decisions)
        yield _contradiction(subject, f"it is {said}")


def _verified_too_soon(scope: Scope, change_id: str) -> Iterator[Finding]:
    records = scope.snapshot.records
    approvals = [d.on for _, d in records.decisions_about(change_id) if d.decision == "approved"]
    for verification_id, verification in records.verifications_of(change_id):
        if not approvals:
            yield _contradiction(verification_id, f"it verifies {change_id}, which is not approved")
        elif verification.on < approvals[0]:
            yield _contradiction(
                verification_id, f"it verifies {change_id} on {verification.on}, before its approval"
            )


def _verified_both_ways(scope: Scope, change_id: str) -> Iterator[Finding]:
    by_hull: dict[str, list[tuple[str, Verification]]] = {}
    for verification in scope.snapshot.records.verifications_of(change_id):
        by_hull.setdefault(verification[1].hull, []).append(verification)
    for hull, verifications in by_hull.items():
        if len({v.outcome for _, v in verifications}) > 1:
            said = " and ".join(f"{v.outcome} ({i}, {v.on})" for i, v in verifications)
            yield _contradiction(change_id, f"on hull {hull} it is {said}")


RULES = (check_deciders, check_contradictions)
