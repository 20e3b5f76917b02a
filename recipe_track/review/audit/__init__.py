"""A records audit in the sense of ISO 10007: plain functions in a list, a scope in, findings out."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from recipe_track.review.audit import as_built, commits, decisions, releases, signing
from recipe_track.review.audit.scope import Finding, Scope, scope_of
from recipe_track.workspace import Revision, Workspace

AuditRule = Callable[[Scope], Iterable[Finding]]
RULES: tuple[AuditRule, ...] = (
    *commits.RULES,
    *decisions.RULES,
    *releases.RULES,
    *as_built.RULES,
    *as_built.OBSERVATION_RULES,
    *releases.KEEPING_RULES,
    *signing.RULES,
)


@dataclass(frozen=True, slots=True)
class Audit:
    """What was looked at and what was found; not complete in a shallow clone."""

    models: tuple[str, ...]
    revision: Revision
    findings: tuple[Finding, ...]
    complete: bool


def audit_records(ws: Workspace, model: str | None = None, as_of: str | None = None) -> Audit:
    """Look through the records of main, up to a revision; the order of findings is that of the rules."""
    scope = scope_of(ws, model, as_of)
    findings = dict.fromkeys(finding for rule in RULES for finding in rule(scope))
    return Audit(scope.models, scope.revision, tuple(findings), not ws.repo.shallow)
