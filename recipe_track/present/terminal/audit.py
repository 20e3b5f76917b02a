"""The findings of a records audit as text."""

from collections.abc import Iterator

from rich.console import RenderableType

from recipe_track.present.words.figures import revision_words
from recipe_track.present.words.plain import visible
from recipe_track.review.audit import Audit

WHAT_IT_IS = "This is a records audit: it looks at what is written down, and inspects no hull."
SHALLOW_AUDIT = "This is a shallow clone: what came before its first commit was not looked at."


def audit_text(audit: Audit) -> Iterator[RenderableType]:
    """Each finding with what to do."""
    models = ", ".join(map(visible, audit.models))
    yield f"{models} at {revision_words(audit.revision)}"
    for finding in audit.findings:
        yield ""
        yield f"{finding.rule}: {visible(finding.subject)}"
        yield f"  {visible(finding.message)}"
        yield f"  → {visible(finding.remedy)}"
    yield ""
    count = len(audit.findings)
    yield f"{count} finding{'' if count == 1 else 's'}" if count else "nothing found"
    if not audit.complete:
        yield SHALLOW_AUDIT
    yield WHAT_IT_IS
