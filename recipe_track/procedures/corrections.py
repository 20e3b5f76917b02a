"""Records put right by new ones: a correction that replaces, a confirmation by the person named."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from recipe_track.errors import CallError, Refused
from recipe_track.history.people import identity
from recipe_track.procedures.doubts import require_meant, weighing_doubts
from recipe_track.procedures.writing import Done, new_record, put_records, with_records
from recipe_track.recipe.people import is_entitled, same_person
from recipe_track.recipe.records import CONFIRMED, Change, Decision, Record, Trial, Verification, Weighing
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import HOLD_SEVERITY, holds
from recipe_track.review.authority import require_entitled
from recipe_track.review.choosing import named
from recipe_track.workspace import Workspace

OWN_KEYS = ("kind", "by", "on", "replaces", "note")


def correct_record(
    ws: Workspace, record_id: str, changes: Mapping[str, str], note: str, on: date | None = None,
    dry_run: bool = False, meant: bool = False,
) -> Done:  # fmt: skip
    """Write the record that replaces another one: all it said, but for what was wrong, and why."""
    snapshot = ws.current()
    record_id = record_id.upper()
    record = named("record", record_id, dict(snapshot.records))
    _require_correctable(snapshot, record_id, record, note)
    said = _said(record) | {key: _typed(record, key, text) for key, text in changes.items()}
    _require_may_correct(ws, snapshot, record_id, record, said)
    kind = record.kind
    values = {key: value for key, value in said.items() if key not in OWN_KEYS}
    new = new_record(ws, snapshot, kind, on or record.on, replaces=record_id, note=note.strip(), **values)
    with_records(snapshot, new)
    if isinstance(new.record, Weighing):
        require_meant(weighing_doubts(ws, snapshot, new.record), meant, note)
    return put_records(
        ws, new, subject=f"Correct {record_id}: {note.strip()[:60]}",
        said=(f"{new.id} replaces {record_id}; both stay readable",), decides=True, dry_run=dry_run,
    )  # fmt: skip


def _said(record: Record) -> dict[str, Any]:
    return record.model_dump(exclude_unset=True, by_alias=True)


def _typed(record: Record, key: str, text: str) -> object:
    """A value as the record wrote it before: a hull number stays text, a mass is a number."""
    if key in OWN_KEYS:
        raise CallError(f"`{key}` is not corrected with --set", "the day it is of is --on")
    before = getattr(record, key, None)
    if isinstance(before, str):
        return text
    for kind in (int, float):
        try:
            return kind(text.replace(",", "."))
        except ValueError:
            continue
    return text


def _require_correctable(snapshot: Snapshot, record_id: str, record: Record, note: str) -> None:
    if isinstance(record, Change | Decision | Verification):
        raise Refused(
            f"{record_id} is a {record.kind}, which is decided again, never corrected",
            "propose anew with --replaces, or decide again",
        )
    later = snapshot.records.replaced_by.get(record_id)
    if later:
        raise CallError(f"{record_id} was replaced by {later[0]}", f"correct {later[0]} instead")
    if not note.strip():
        raise Refused("a correction says why", "--note N")


def _require_may_correct(
    ws: Workspace, snapshot: Snapshot, record_id: str, record: Record, said: Mapping[str, Any]
) -> None:
    """Its author or an approver; lifting a hold takes someone entitled who is not the logger."""
    me, approval = str(identity(ws.repo)), snapshot.settings.approval
    held = record_id in {hold.record for hold in holds(snapshot)}
    lower = isinstance(record, Trial) and said.get("severity", record.severity) < HOLD_SEVERITY
    elsewhere = any(said.get(key) != getattr(record, key, None) for key in ("hull", "zone"))
    zone = getattr(record, "zone", "")
    if held and (lower or elsewhere):
        require_entitled(approval, me, record_id)
        if approval.distinct_approver and same_person(me, record.by):
            raise Refused(
                f"{me} wrote {record_id} and so cannot lift the hold it puts on {zone}",
                "someone else has to correct it (approval.distinct_approver)",
            )
    elif not same_person(me, record.by) and not is_entitled(approval, me):
        raise Refused(
            f"{record_id} is by {record.by}", "its author or an approver corrects it (approval.approvers)"
        )


def confirm_records(ws: Workspace, record_ids: tuple[str, ...], on: date, dry_run: bool = False) -> Done:
    """Say that records someone else brought are as one wrote them: a decision about each."""
    snapshot = ws.current()
    me = str(identity(ws.repo))
    decisions = []
    for record_id in dict.fromkeys(name.upper() for name in record_ids):
        record = named("record", record_id, dict(ws.trail.written))
        if not same_person(me, record.by):
            raise Refused(f"{record_id} names {record.by}, who alone can confirm it")
        blob = ws.trail.origin_of[record_id].blob
        values = {"about": record_id, "decision": CONFIRMED, "decides": blob}
        decisions.append(new_record(ws, snapshot, "decision", on, **values))
    with_records(snapshot, *decisions)
    confirmed = ", ".join(dict.fromkeys(name.upper() for name in record_ids))
    return put_records(
        ws, *decisions, subject=f"Confirm {confirmed}", said=(f"confirmed {confirmed}",), decides=True,
        dry_run=dry_run,
    )  # fmt: skip
