"""The findings of a records audit as text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from recipe_track.present.words.figures import revision_words
from recipe_track.present.words.plain import visible

if TYPE_CHECKING:
    from rich.console import RenderableType

    from recipe_track.review.audit import Audit, Finding

WHAT_IT_IS = "This is a records audit: it looks at what is written down, and inspects no hull."
SHALLOW_AUDIT = "This is a shallow clone: what came before its first commit was not looked at."


def audit_text(audit: Audit, with_answered: bool = False) -> Iterator[RenderableType]:
    """Each finding with what to do, worst first; those that are answered where asked for."""
    models = ", ".join(map(visible, audit.models))
    yield f"{models} at {revision_words(audit.revision)}"
    for finding in audit.findings:
        yield ""
        yield from _finding_lines(finding)
    for one in audit.answered if with_answered else ():
        yield ""
        yield from _finding_lines(one.finding, f"answered by {one.action}")
    for notice in audit.notices:
        yield ""
        yield f"notice of this clone: {visible(notice.subject)}"
        yield f"  {visible(notice.message)}"
        yield f"  → {visible(notice.remedy)}"
    yield ""
    yield _counted(audit)
    if not audit.complete:
        yield SHALLOW_AUDIT
    yield WHAT_IT_IS


def _finding_lines(finding: Finding, answer: str | None = None) -> Iterator[str]:
    name = finding.id if finding.id != f"{finding.rule} {finding.subject}" else finding.rule
    yield f"{visible(name)}: {visible(finding.subject)}"
    yield f"  {visible(finding.message)}"
    about = [finding.by or "", (finding.since or "")[:10], (finding.commit or "")[:10]]
    place = ", ".join(visible(one) for one in about if one)
    if place:
        yield f"  {place}"
    yield f"  {answer}" if answer else f"  → {visible(finding.remedy)}"


def _counted(audit: Audit) -> str:
    count, answered = len(audit.findings), len(audit.answered)
    more = f", {answered} answered" if answered else ""
    return f"{count} finding{'' if count == 1 else 's'}{more}" if count else f"nothing found{more}"
