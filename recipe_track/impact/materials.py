"""Which materials a zone is computed from, which a change redefines, and who else uses them."""

from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass

from recipe_track.impact.effects import Impact
from recipe_track.recipe.craft import Part
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Material, Reinforcement
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.snapshot import Snapshot

# Words and records that no figure is computed from.
SILENT = frozenset(
    {"name", "source", "note", "extent", "zero_direction", "seen_from", "drawing", "formerly", "required"}
)


def differs(before: RecipeTable, after: RecipeTable, aside: Set[str] = frozenset()) -> bool:
    """Whether two tables of one kind differ in anything that figures are computed from."""
    names = type(before).model_fields.keys() - SILENT - aside
    return any(getattr(before, name) != getattr(after, name) for name in names)


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
        for name, zone in sorted(tree.zones.items()):
            yield model, name, materials_of(zone, tree.parts[part_of(name)].part, snapshot.materials)


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


def materials_of(zone: Zone, part: Part, materials: Mapping[str, Material]) -> frozenset[str]:
    """Ids of a zone's layers, resins, former and paste, and of the fibres its fabrics are made of."""
    named = {layer.material for layer in zone.layup} | {layer.resin or part.resin for layer in zone.layup}
    if zone.former is not None:
        named.add(zone.former.material)
    if zone.paste is not None:
        named.add(zone.paste)
    return frozenset(named | {fibre for name in named for fibre in _fibres(materials.get(name))})


def _fibres(material: Material | None) -> set[str]:
    if not isinstance(material, Reinforcement):
        return set()
    return {direction.fibre or material.fibre for direction in material.directions}
