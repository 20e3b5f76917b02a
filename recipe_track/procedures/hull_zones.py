"""The zones a hull was built with: those of the release that each of its parts names."""

from collections.abc import Iterator

from recipe_track.errors import CallError
from recipe_track.recipe.craft import Hull, HullPart
from recipe_track.recipe.records import Deviation, Trial
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from recipe_track.workspace import Workspace


def part_snapshot(ws: Workspace, model: str, part: HullPart) -> Snapshot | None:
    """The recipe at the commit a part was started to; None where this clone does not have it."""
    if ws.repo.run("cat-file", "-e", f"{part.commit}^{{commit}}").status != 0:
        return None
    return ws.read(ws.revision_of(part.commit, model)).snapshot


def part_tree(ws: Workspace, hull: Hull, part: HullPart) -> PartTree | None:
    """A part as it was released for this hull."""
    snapshot = part_snapshot(ws, hull.model, part)
    tree: ModelTree | None = snapshot.models.get(hull.model) if snapshot else None
    return tree.parts.get(part.part) if tree else None


def zones_of_hull(ws: Workspace, current: Snapshot, hull: Hull) -> tuple[str, ...]:
    """Zones of the hull's part releases; main's where a part cannot be read or none is listed."""
    return tuple(sorted(set(_zones(ws, current, hull))))


def _zones(ws: Workspace, current: Snapshot, hull: Hull) -> Iterator[str]:
    tree = current.models.get(hull.model)
    now = tree.parts if tree else {}
    for part in hull.part:
        built = part_tree(ws, hull, part) or now.get(part.part)
        if built is not None:
            yield from (f"{part.part}/{zone}" for zone in built.zones)
    if not hull.part and tree is not None:
        yield from (name for name, _, _ in tree.zones())


def require_zone(ws: Workspace, current: Snapshot, number: str, hull: Hull, zone: str) -> str:
    """The zone's name, if the hull has it; refused with the nearest names of that hull."""
    known = zones_of_hull(ws, current, hull)
    if zone not in known:
        hint = nearest(zone, known) or _nearest_by_zone(zone, known)
        raise CallError(f"hull {number} has no zone `{zone}`", hint)
    return zone


def _nearest_by_zone(zone: str, known: tuple[str, ...]) -> str:
    return f"a zone is named part/zone; hull zones: {', '.join(known)}" if known else ""


def zone_now(snapshot: Snapshot, record: Trial | Deviation) -> str:
    """What the zone of a record is called on main today; a name that is gone stays as it was."""
    hull = snapshot.hulls.get(record.hull)
    tree = snapshot.models.get(hull.model) if hull else None
    names = {name: zone for name, _, zone in tree.zones()} if tree else {}
    if record.zone in names:
        return record.zone
    return next((name for name, zone in names.items() if record.zone in zone.formerly), record.zone)
