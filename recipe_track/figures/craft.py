"""Parts and craft: sums, centres, process costs, conditions and targets."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.costs import process_cost
from recipe_track.figures.limits import requirements_of
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.results import (
    CENTRE_KEYS,
    COST_KEYS,
    PART_KEYS,
    Centre,
    ConditionFigures,
    CraftFigures,
    ModelFigures,
    PartFigures,
    ZoneFigures,
)
from recipe_track.recipe.craft import FixedMass, Model, Prices, Targets
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot

BUILT_IN_CONDITIONS = (("light", 0.0), ("full", 1.0))


def centre_of(masses: Iterable[tuple[float, Centre]]) -> tuple[float, Centre | None]:
    """Total mass [kg] and centre of gravity Σ m·r / Σ m [m]; no centre where the total is 0."""
    listed = list(masses)
    total = sum(m for m, _ in listed)
    if total == 0:
        return 0.0, None
    x, y, z = (sum(m * r[axis] for m, r in listed) / total for axis in range(3))
    return total, (x, y, z)


def zone_cases(snapshot: Snapshot, tree: ModelTree) -> list[ZoneCase]:
    """One case per zone of a model, by name; a stiffener's comes with the plate it is attached to."""
    return [zone_case(snapshot, tree, name) for name in sorted(tree.zones)]


def zone_case(snapshot: Snapshot, tree: ModelTree, name: str) -> ZoneCase:
    """The case of one zone."""
    case, below = _alone(snapshot, tree, name), tree.zones[name].attached
    return replace(case, attached=_alone(snapshot, tree, below)) if below and below in tree.zones else case


def _alone(snapshot: Snapshot, tree: ModelTree, name: str) -> ZoneCase:
    part = tree.parts[part_of(name)].part
    shaken = tree.model.excitation
    return ZoneCase(name, tree.zones[name], part, snapshot.materials, snapshot.prices, excitation=shaken)


def figures_of(snapshot: Snapshot, model: str) -> ModelFigures:
    """All figures of a model; raises NotComputable where the recipe is not complete."""
    from recipe_track.figures.zone import zone_figures  # panels and their fields: no sum of masses needs them

    tree = snapshot.models[model]
    zones = zone_figures(zone_cases(snapshot, tree))
    parts = tuple(
        part_figures(tree.parts[part], [z for z in zones if z.zone.startswith(f"{part}/")], snapshot.prices)
        for part in sorted(tree.parts)
    )
    currency = snapshot.prices.currency if snapshot.prices else None
    return ModelFigures(model, currency, zones, parts, craft_figures(tree.model, zones, parts))


def part_figures(tree: PartTree, zones: Sequence[ZoneFigures], prices: Prices | None) -> PartFigures:
    """Sums over the zones of a part, and its process cost."""
    mass, centre = centre_of((z.mass_kg, z.centroid_m) for z in zones)
    material, labour = _sum(z.material_cost for z in zones), _sum(z.labour_cost for z in zones)
    process = part_process_cost(tree, zones, prices)
    return PartFigures(tree.id, mass, centre, material, labour, process, _sum((material, labour, process)))


def part_process_cost(tree: PartTree, zones: Sequence[ZoneFigures], prices: Prices | None) -> float | None:
    """Process cost of a part over the areas of its plates and stiffeners; None without prices."""
    if prices is None:
        return None
    try:
        return process_cost(tree.part, sum(z.area_m2 or 0.0 for z in zones), prices)
    except NotComputable as missing:
        raise NotComputable(f"{tree.id}: {missing}") from missing


def _sum(values: Iterable[float | None]) -> float | None:
    listed = list(values)
    known = [v for v in listed if v is not None]
    return sum(known) if len(known) == len(listed) else None


def conditions_of(model: Model) -> tuple[tuple[str, float], ...]:
    """Names and fills: the built-in ones, then the model's own."""
    return (*BUILT_IN_CONDITIONS, *((c.name, c.fill) for c in model.condition))


def masses_at(masses: Iterable[FixedMass], fill: float) -> list[tuple[float, Centre]]:
    """Other masses in a condition: fixed ones fully, variable ones times the fill."""
    return [(m.mass_kg * (fill if m.variable else 1.0), m.at_m) for m in masses]


def craft_figures(model: Model, zones: Sequence[ZoneFigures], parts: Sequence[PartFigures]) -> CraftFigures:
    """The craft: laminate and other masses in every condition, costs, targets."""
    laminate = [(z.mass_kg, z.centroid_m) for z in zones]
    conditions = tuple(
        ConditionFigures(name, fill, *centre_of([*laminate, *masses_at(model.mass, fill)]))
        for name, fill in conditions_of(model)
    )
    targets = model.targets or Targets.model_construct()
    at = next(c for c in conditions if c.name == targets.condition)
    totals: dict[str, Any] = {
        "laminate_mass_kg": sum(m for m, _ in laminate),
        "mass_kg": at.mass_kg,
        **{key: _sum(getattr(p, key) for p in parts) for key in PART_KEYS if key in COST_KEYS},
    }
    centre = dict(zip(CENTRE_KEYS, at.centroid_m or (None, None, None), strict=True))
    return CraftFigures(
        condition=at.name,
        centroid_m=at.centroid_m,
        conditions=conditions,
        targets=requirements_of(targets, {**totals, **centre}),
        **totals,
    )
