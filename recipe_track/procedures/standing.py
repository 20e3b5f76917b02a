"""What stands over a zone today: holds, and scantling checks that the recipe has left behind."""

from collections.abc import Iterator
from dataclasses import replace

from recipe_track.errors import CallError
from recipe_track.figures.craft import ModelFigures
from recipe_track.impact.basis import basis_changes, layup_changed
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import holds_by_zone
from recipe_track.workspace import Workspace


def with_standing(ws: Workspace, figures: ModelFigures, snapshot: Snapshot) -> ModelFigures:
    """The figures with the holds of today and a note where a zone changed since its scantling check."""
    holds = holds_by_zone(ws.current(), figures.model)
    notes = scantling_notes(ws, snapshot, figures.model)
    zones = tuple(
        replace(
            z,
            hold=tuple(h.record for h in holds.get(z.zone, ())),
            notes=(*z.notes, *notes.get(z.zone, ())),
        )
        for z in figures.zones
    )
    return replace(figures, zones=zones)


def scantling_notes(ws: Workspace, snapshot: Snapshot, model: str) -> dict[str, tuple[str, ...]]:
    """Per zone: `changed since the scantling check at r3 (layup, span)`, or that the check is not found."""
    return {
        name: (note,)
        for name, _, zone in snapshot.models[model].zones()
        if zone.required and zone.required.checked_at
        for note in [_note(ws, snapshot, model, name, zone, zone.required.checked_at)]
        if note
    }


def _note(ws: Workspace, snapshot: Snapshot, model: str, name: str, zone: Zone, label: str) -> str | None:
    try:
        checked = ws.read(ws.revision(label, model)).snapshot
    except CallError:
        return f"the scantling check names {label}, which is not to be found"
    then = _zone_then(checked, model, name, zone)
    if then is None:
        return f"new since the scantling check at {label}"
    changes = list(_changes(then, zone, checked, snapshot))
    return f"changed since the scantling check at {label} ({', '.join(changes)})" if changes else None


def _zone_then(checked: Snapshot, model: str, name: str, zone: Zone) -> Zone | None:
    tree = checked.models.get(model)
    found = {n: z for n, _, z in tree.zones()} if tree else {}
    return next((found[n] for n in (name, *zone.formerly) if n in found), None)


def _changes(then: Zone, now: Zone, checked: Snapshot, snapshot: Snapshot) -> Iterator[str]:
    if layup_changed(then, now):
        yield "layup"
    yield from basis_changes(then, now, checked.materials, snapshot.materials)
