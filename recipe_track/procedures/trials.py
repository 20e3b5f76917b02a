"""Trial observations: logged against a hull and a zone, listed worst first, decided."""

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from recipe_track.errors import CallError, Refused
from recipe_track.procedures.doubts import attachment_doubts, require_meant
from recipe_track.procedures.writing import (
    Done,
    new_id,
    new_record,
    put_records,
    taken_ids,
    with_records,
)
from recipe_track.recipe.records import SAME_AS, Trial
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import HOLD_SEVERITY
from recipe_track.review.authority import require_decider
from recipe_track.review.choosing import hull_named, record_named
from recipe_track.review.hull.zones import require_zone
from recipe_track.workspace import Workspace

_UNSAFE = re.compile(r"[^A-Za-z0-9._-]+")


@dataclass(frozen=True, slots=True)
class TrialEntry:
    """What is logged; everything that a person types."""

    hull: str
    zone: str
    observation: str
    severity: int
    text: str
    on: date
    conditions: str | None = None
    deflection_mm: float | None = None
    force_kn: float | None = None
    side_mm: float | None = None
    attachments: tuple[Path, ...] = ()
    note: str | None = None
    meant: bool = False


def log_trial(ws: Workspace, entry: TrialEntry, dry_run: bool = False) -> Done:
    """Write an observation to main, with the files attached to it."""
    snapshot = ws.current()
    hull_named(snapshot, entry.hull)
    require_zone(ws, snapshot, entry.hull, entry.zone)
    if not entry.text.strip():
        raise CallError("an observation needs a text", "say what was felt or measured: --text T")
    require_meant(attachment_doubts(entry.attachments), entry.meant, entry.note)
    trial_id = new_id("trial", taken_ids(ws, snapshot))
    attached = _attached(trial_id, entry.attachments)
    new = new_record(
        ws, snapshot, "trial", entry.on, trial_id,
        hull=entry.hull, zone=entry.zone, text=entry.text.strip(), observation=entry.observation,
        severity=entry.severity, conditions=entry.conditions, measured=_measured(entry),
        attachments=tuple(_attachments(attached)), note=entry.note,
    )  # fmt: skip
    with_records(snapshot, new)
    subject = f"Log {new.id}: {entry.observation} in {entry.zone}, hull {entry.hull}"
    said = [f"{subject}, severity {entry.severity}"]
    if entry.severity >= HOLD_SEVERITY:
        said.append(f"{entry.zone} is on hold until this is contained or answered")
    return put_records(ws, new, subject=subject, said=tuple(said), files=attached, dry_run=dry_run)


def _measured(entry: TrialEntry) -> dict[str, float]:
    given = {"deflection_mm": entry.deflection_mm, "force_kn": entry.force_kn, "side_mm": entry.side_mm}
    return {key: value for key, value in given.items() if value is not None}


def _attachments(attached: Mapping[str, bytes]) -> Iterator[dict[str, str]]:
    for path, content in attached.items():
        yield {"path": path, "sha256": hashlib.sha256(content).hexdigest()}


def _attached(trial_id: str, files: Iterable[Path]) -> dict[str, bytes]:
    """Where the attached files go in the repository, and their bytes."""
    attached: dict[str, bytes] = {}
    for file in files:
        try:
            content = file.read_bytes()
        except OSError as error:
            raise CallError(f"{file} cannot be attached: {error.strerror}") from error
        name = _UNSAFE.sub("-", file.name).strip("-.") or "file"
        path = f"photos/{trial_id}/{name}"
        if path in attached:
            raise CallError(f"two attached files are called {name}", "rename one of them")
        attached[path] = content
    return attached


def decide_trial(
    ws: Workspace, trial_id: str, decision: str, note: str, on: date, dry_run: bool = False,
    same_as: str | None = None,
) -> Done:  # fmt: skip
    """Contain or close an observation without a change of the recipe."""
    snapshot = ws.current()
    trial = record_named(snapshot, trial_id, Trial, "observation")
    trial_id = trial_id.upper()
    if not note.strip():
        raise Refused("a decision needs a note", "say why: --note N")
    if closed := _closing(snapshot, trial_id):
        raise Refused(f"{trial_id} is answered already: {closed}")
    new = new_record(
        ws, snapshot, "decision", on, about=trial_id, decision=decision, note=note.strip(),
        same_as=_same(snapshot, decision, same_as),
    )  # fmt: skip
    if trial.severity >= HOLD_SEVERITY:
        require_decider(snapshot.settings.approval, new.record.by, (trial.by,), trial_id, "logged")
    with_records(snapshot, new)
    said = (f"decided {trial_id}: {decision} ({trial.observation} in {trial.zone}, hull {trial.hull})",)
    return put_records(
        ws, new, subject=f"Decide {trial_id}: {decision}", body=note.strip(), said=said,
        decides=True, dry_run=dry_run,
    )  # fmt: skip


def _same(snapshot: Snapshot, decision: str, same_as: str | None) -> str | None:
    """The observation that another one repeats: said with that decision, and with no other."""
    if (decision == SAME_AS) != bool(same_as):
        hint = "--same-as T-… goes with --decision same-as, and only with it"
        raise CallError("an observation made before says which one it is", hint)
    if same_as:
        record_named(snapshot, same_as, Trial, "observation")
    return same_as.upper() if same_as else None


def _closing(snapshot: Snapshot, trial_id: str) -> str:
    return ", ".join(snapshot.records.answers_of(trial_id))
