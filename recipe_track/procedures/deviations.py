"""Deviations: reported by anyone at any hour, decided later by someone entitled."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from recipe_track.errors import CallError, Refused
from recipe_track.procedures.deciding import Reverified, require_reverified, reverification_of
from recipe_track.procedures.writing import Done, new_record, put_records, with_records
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.records import Decision, Deviation
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import deviation_state
from recipe_track.review.authority import require_decider, require_entitled
from recipe_track.review.choosing import hull_named, one_of, record_named
from recipe_track.review.hull.as_built import broken_by_concession, fetch_hulls
from recipe_track.review.hull.zones import KINDS_IN_WORDS, built_zone, require_zone, state_in_words
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class LayerEntry:
    """One layer built otherwise, by its line in the layup of the hull's release."""

    line: int
    action: str
    instead: str | None = None
    material: str | None = None
    plies: int = 1


@dataclass(frozen=True, slots=True)
class DeviationEntry:
    """What is reported."""

    hull: str
    zone: str
    type: str
    text: str
    on: date
    layers: tuple[LayerEntry, ...] = ()
    area_fraction: float | None = None
    note: str | None = None


def report_deviation(ws: Workspace, entry: DeviationEntry, dry_run: bool = False) -> Done:
    """Write a departure from the recipe to main; its zone is on hold until someone decides."""
    snapshot = ws.current()
    hull_named(snapshot, entry.hull)
    require_zone(ws, snapshot, entry.hull, entry.zone)
    if not entry.text.strip():
        raise CallError("a deviation needs a text", "say what differs: --text T")
    zone = built_zone(ws, snapshot, entry.hull, entry.zone)
    layers = [_layer(snapshot, zone, layer) for layer in entry.layers]
    new = new_record(
        ws, snapshot, "deviation", entry.on, type=entry.type, hull=entry.hull, zone=entry.zone,
        text=entry.text.strip(), layers=tuple(layers), area_fraction=entry.area_fraction, note=entry.note,
    )  # fmt: skip
    with_records(snapshot, new)
    verb = "Report" if entry.type == "nonconformity" else "Ask"
    subject = f"{verb} {new.id}: {KINDS_IN_WORDS[entry.type]} in {entry.zone}, hull {entry.hull}"
    said = (subject, f"{entry.zone} is on hold until it is decided")
    return put_records(ws, new, subject=subject, said=said, dry_run=dry_run)


def _layer(snapshot: Snapshot, zone: Zone | None, entry: LayerEntry) -> dict[str, Any]:
    lines = zone.layup if zone else ()
    if not 1 <= entry.line <= len(lines):
        raise CallError(f"the layup has no line {entry.line}", f"it has {len(lines)}, counted from 1")
    layer = lines[entry.line - 1]
    if entry.action == "left-out" and entry.plies > layer.plies:
        raise CallError(f"line {entry.line} has {layer.plies} plies, so {entry.plies} cannot be left out")
    if (entry.action == "substituted") != (entry.instead is not None):
        raise CallError("a substituted layer says what was laid instead", "--instead MATERIAL, only with it")
    material = entry.material or layer.material
    for name in filter(None, (material, entry.instead)):
        one_of("material", name, snapshot.materials)
    plies = entry.plies if entry.plies != 1 else None
    values = {"line": entry.line, "material": material, "plies": plies, "action": entry.action}
    return {k: v for k, v in {**values, "instead": entry.instead}.items() if v is not None}


def decide_deviation(
    ws: Workspace, deviation_id: str, decision: str, note: str | None, on: date, dry_run: bool = False,
    reverified: Reverified | None = None,
) -> Done:  # fmt: skip
    """Accept or refuse a departure; accepted, it prints as a concession or a deviation permit.

    One that breaks a required minimum is accepted with a re-verification alone, as a change is.
    """
    snapshot = ws.current()
    deviation = record_named(snapshot, deviation_id, Deviation, "deviation")
    deviation_id = deviation_id.upper()
    if (state := deviation_state(snapshot.records, deviation_id)) != "reported":
        decided = snapshot.records.decisions_about(deviation_id)[-1][0]
        raise Refused(f"{deviation_id} is {state} already ({decided})")
    new = new_record(
        ws, snapshot, "decision", on, about=deviation_id, decision=decision, note=note,
        reverification=reverification_of(ws, reverified, on),
    )  # fmt: skip
    approval = snapshot.settings.approval
    if decision == "accepted":
        require_decider(approval, new.record.by, (deviation.by,), deviation_id, "reported")
        broken = broken_by_concession(fetch_hulls(ws, snapshot), deviation_id, deviation)
        require_reverified(broken, reverified)
    else:
        require_entitled(approval, new.record.by, deviation_id)
    with_records(snapshot, new)
    assert isinstance(new.record, Decision)
    outcome = state_in_words(deviation, "accepted" if decision == "accepted" else "refused")
    said = (f"decided {deviation_id}: {decision} ({outcome}, {deviation.zone}, hull {deviation.hull})",)
    return put_records(
        ws, new, subject=f"Decide {deviation_id}: {decision}", body=note or "", said=said,
        decides=True, dry_run=dry_run,
    )  # fmt: skip
