"""How far a change reaches: the zones it touches, and who else uses a material it changed."""

from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass

from recipe_track.impact.mixture import differs
from recipe_track.impact.outcome import Impact
from recipe_track.impact.uses import materials_of
from recipe_track.recipe.materials import Material
from recipe_track.recipe.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class MaterialReach:
    """A changed material and every zone after the change that is computed from it, per model."""

    material: str
    zones: Mapping[str, tuple[str, ...]]

    def others(self, model: str) -> Mapping[str, tuple[str, ...]]:
        """The same for all models but one."""
        return {name: zones for name, zones in self.zones.items() if name != model}


def changed_materials(before: Snapshot, after: Snapshot) -> frozenset[str]:
    """Materials of both revisions whose definition differs in more than words."""
    both = before.materials.keys() & after.materials.keys()
    return frozenset(name for name in both if _redefined(before.materials[name], after.materials[name]))


def _redefined(before: Material, after: Material) -> bool:
    return type(before) is not type(after) or differs(before, after)


def changed_prices(before: Snapshot, after: Snapshot) -> frozenset[str]:
    """Materials priced at both revisions whose price differs."""
    if before.prices is None or after.prices is None:
        return frozenset()
    old, new = before.prices.materials, after.prices.materials
    return frozenset(name for name in old.keys() & new.keys() if differs(old[name], new[name]))


def material_reach(snapshot: Snapshot, materials: Set[str]) -> tuple[MaterialReach, ...]:
    """Which zones of which models use each of some materials, directly or as a fabric's fibre; by name."""
    used = list(_uses(snapshot))
    return tuple(MaterialReach(name, _zones_using(name, used)) for name in sorted(materials))


def _uses(snapshot: Snapshot) -> Iterator[tuple[str, str, frozenset[str]]]:
    for model, tree in sorted(snapshot.models.items()):
        for name, part, zone in sorted(tree.zones(), key=lambda item: item[0]):
            yield model, name, materials_of(zone, part.part, snapshot.materials)


def _zones_using(material: str, used: list[tuple[str, str, frozenset[str]]]) -> dict[str, tuple[str, ...]]:
    zones: dict[str, list[str]] = {}
    for model, zone, materials in used:
        if material in materials:
            zones.setdefault(model, []).append(zone)
    return {model: tuple(names) for model, names in zones.items()}


def touched_zones(impact: Impact) -> frozenset[str]:
    """Every name, before and after, of the zones that a change does anything to."""
    touched = (zone for zone in impact.zones if zone.status != "unchanged")
    return frozenset(name for zone in touched for name in (zone.zone, zone.before_zone) if name is not None)
