"""A records audit in the sense of ISO 10007: plain functions in a list, a scope in, findings out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.review.audit import as_built, decisions, edits, records, releases
from recipe_track.review.audit.finding import NEEDS_DOCUMENT, NOT_ANSWERED, Finding, ordered
from recipe_track.review.audit.notices import Notice, notices_of
from recipe_track.review.audit.scope import Scope, scope_of

if TYPE_CHECKING:
    from recipe_track.recipe.records import Action
    from recipe_track.workspace import Revision, Workspace

__all__ = ["RULES", "Answered", "Audit", "Finding", "Notice", "audit_records", "audited"]

Rule = Callable[[Scope], Iterable[Finding]]
RULES: tuple[Rule, ...] = (
    *edits.RULES,
    *records.RULES,
    *decisions.RULES,
    *releases.RULES,
    *as_built.RULES,
)


@dataclass(frozen=True, slots=True)
class Answered:
    """A finding that an action answers: what was done about it stands on record."""

    finding: Finding
    action: str


@dataclass(frozen=True, slots=True)
class Audit:
    """What was looked at and what was found, worst first; not complete in a shallow clone."""

    models: tuple[str, ...]
    revision: Revision
    findings: tuple[Finding, ...]
    answered: tuple[Answered, ...]
    notices: tuple[Notice, ...]
    complete: bool


def audit_records(ws: Workspace, model: str | None = None, as_of: str | None = None) -> Audit:
    """Look through all that is governed and recorded on main, up to a revision or a day."""
    return audited(scope_of(ws, model, as_of), notices_of(ws) if as_of is None else ())


def audited(scope: Scope, notices: tuple[Notice, ...] = ()) -> Audit:
    """The same out of a scope that was read."""
    findings = ordered([finding for rule in RULES for finding in rule(scope)])
    answers = {finding.id: answer for finding in findings if (answer := _answer(scope, finding))}
    return Audit(
        scope.models,
        scope.revision,
        tuple(finding for finding in findings if finding.id not in answers),
        tuple(Answered(finding, answers[finding.id]) for finding in findings if finding.id in answers),
        notices,
        not scope.shallow,
    )


def _answer(scope: Scope, finding: Finding) -> str | None:
    """The action that answers a finding: by someone entitled, and to just the evidence there is."""
    if finding.rule in NOT_ANSWERED:
        return None
    about = [one for name in finding.names for one in scope.snapshot.records.actions_about(name)]
    for name, action in reversed(about):
        if tuple(action.seen) == finding.seen and _may_answer(scope, name, action, finding):
            return name
    return None


def _may_answer(scope: Scope, name: str, action: Action, finding: Finding) -> bool:
    if finding.rule in NEEDS_DOCUMENT and not (action.document and action.body):
        return False
    return scope.may_act(name, action, finding.by)
