"""Which materials a zone is computed from, which a change redefines, and who else uses them."""

from collections.abc import Collection, Iterator, Mapping, Set
from dataclasses import dataclass

from recipe_track.impact.effects import Impact
from recipe_track.recipe.craft import Part
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Material, Reinforcement
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.quantities import Counts, counting
from recipe_track.recipe.snapshot import Snapshot

COMPUTED: tuple[Counts, ...] = ("figures", "stiffness", "uncertainty")
"""What a key counts in, if anything at all is computed from it."""


def differing_keys(
    before: RecipeTable, after: RecipeTable, counts: Collection[Counts] = COMPUTED
) -> tuple[str, ...]:
    """The keys in which two tables of one kind differ, as far as they count in any of these."""
    if before == after:
        return ()
    counted = counting(type(before), *counts)
    keys = counting(type(before), *COMPUTED, *counts)
    pairs = ((key, getattr(before, key), getattr(after, key)) for key in keys)
    return tuple(key for key, old, new in pairs if _differ(old, new, counts, key in counted))


def _differ(before: object, after: object, counts: Collection[Counts], counted: bool) -> bool:
    """Whether two values differ; of tables in both, what is written in them says what it counts in."""
    if isinstance(before, RecipeTable) and isinstance(after, RecipeTable) and type(before) is type(after):
        return bool(differing_keys(before, after, counts))
    if isinstance(before, tuple) and isinstance(after, tuple) and len(before) == len(after):
        return any(_differ(old, new, counts, counted) for old, new in zip(before, after, strict=True))
    return counted and before != after


def is_redefined(before: Material, after: Material, counts: Collection[Counts] = COMPUTED) -> bool:
    """Whether two definitions of one material differ in anything that counts in any of these."""
    return type(before) is not type(after) or bool(differing_keys(before, after, counts))


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
    counts = (*COMPUTED, "purchasing")
    return frozenset(
        name for name in both if is_redefined(before.materials[name], after.materials[name], counts)
    )


def changed_prices(before: Snapshot, after: Snapshot) -> frozenset[str]:
    """Materials priced at both revisions whose price differs."""
    if before.prices is None or after.prices is None:
        return frozenset()
    old, new = before.prices.materials, after.prices.materials
    return frozenset(name for name in old.keys() & new.keys() if differing_keys(old[name], new[name]))


def material_reach(snapshot: Snapshot, materials: Set[str]) -> tuple[MaterialReach, ...]:
    """Which zones of which models use each of some materials, directly or as a fabric's fibre; by name."""
    used = list(_uses(snapshot))
    return tuple(MaterialReach(name, _zones_using(name, used)) for name in sorted(materials))


def _uses(snapshot: Snapshot) -> Iterator[tuple[str, str, frozenset[str]]]:
    for model, tree in sorted(snapshot.models.items()):
        for name, zone in sorted(tree.zones.items()):
            yield model, name, materials_used(zone, tree.parts[part_of(name)].part, snapshot.materials)


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


def materials_used(zone: Zone, part: Part, materials: Mapping[str, Material]) -> frozenset[str]:
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
