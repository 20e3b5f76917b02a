"""What was done about a nonconformity, an observation, a hull action or a finding of the audit."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from recipe_track.errors import CallError, Refused
from recipe_track.history.people import identity
from recipe_track.procedures.writing import Done, new_record, put_records, with_records
from recipe_track.recipe.paths import RECORD_ID_PATTERN
from recipe_track.recipe.records import Change
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.audit import audit_records
from recipe_track.review.audit.finding import NEEDS_DOCUMENT, NOT_ANSWERED, Finding
from recipe_track.review.authority import require_decider
from recipe_track.review.choosing import named
from recipe_track.review.hull.effectivity import effectivity_of, hull_action_name, open_hull_actions
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class ActionEntry:
    """What a person says of what was done."""

    about: str
    cause: str
    done: str
    on: date
    evidence: str | None = None
    document: str | None = None
    body: str | None = None
    note: str | None = None


def record_action(ws: Workspace, entry: ActionEntry, dry_run: bool = False) -> Done:
    """Put on record what was done; by someone entitled, and not by whoever's doing it was."""
    snapshot = ws.current()
    if not entry.cause.strip() or not entry.done.strip():
        raise CallError("an action says what the cause was and what was done", "--cause C --done D")
    if (entry.document is None) != (entry.body is None):
        raise CallError("--document and --body go together")
    about, seen, asked = _subject(ws, snapshot, entry)
    new = new_record(
        ws, snapshot, "action", entry.on, about=about, cause=entry.cause.strip(), done=entry.done.strip(),
        seen=seen, evidence=entry.evidence, document=entry.document, body=entry.body, note=entry.note,
    )  # fmt: skip
    did = "wrote" if RECORD_ID_PATTERN.fullmatch(about) else "did what is found in"
    require_decider(snapshot.settings.approval, str(identity(ws.repo)), asked, about, did)
    with_records(snapshot, new)
    return put_records(
        ws, new, subject=f"Act on {about}: {entry.done.strip()[:60]}", said=(f"recorded {new.id}: {about}",),
        decides=True, dry_run=dry_run,
    )  # fmt: skip


def _subject(
    ws: Workspace, snapshot: Snapshot, entry: ActionEntry
) -> tuple[str, tuple[str, ...], tuple[str, ...]]:
    """What an action is about, the evidence it answers, and whose doing that was."""
    about = entry.about
    if RECORD_ID_PATTERN.fullmatch(about.upper()):
        record = named("record", about.upper(), dict(snapshot.records))
        seen = tuple(_open_of(ws, snapshot, about.upper())) if isinstance(record, Change) else ()
        return about.upper(), seen, (record.by,)
    findings = {finding.id: finding for finding in audit_records(ws).findings}
    finding = named("finding", about, findings)
    _require_answerable(finding, entry)
    return about, finding.seen, (finding.by,) if finding.by else ()


def _open_of(ws: Workspace, snapshot: Snapshot, change: str) -> Iterator[str]:
    """What stands open of a change: a verification that did not confirm it, what is to be done on hulls."""
    verifications = snapshot.records.verifications_of(change)
    if verifications and verifications[-1][1].outcome != "confirmed":
        yield verifications[-1][0]
    for hull, part, _ in open_hull_actions(snapshot, effectivity_of(ws, snapshot), change):
        yield hull_action_name(hull, part.part)


def _require_answerable(finding: Finding, entry: ActionEntry) -> None:
    if finding.rule in NOT_ANSWERED:
        raise Refused(f"{finding.id} is not ended by an action", finding.remedy)
    if finding.rule in NEEDS_DOCUMENT and entry.document is None:
        raise Refused(
            f"{finding.id} is answered by a document that someone stands for", "--document DOC --body B"
        )
