"""Mass, centre and cost of a model without its stiffness: quick enough for a long history."""

from dataclasses import dataclass

from recipe_track.figures.cases import Resolved, resolve
from recipe_track.figures.cost import process_cost, total_cost
from recipe_track.figures.craft import Centre, centre_of, conditions_of, masses_at, zone_cases
from recipe_track.figures.plies import LayerPlies
from recipe_track.figures.quantities import zone_area_m2
from recipe_track.recipe.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class CoursePoint:
    """The craft at one revision, in the condition of its targets [kg, m, currency]."""

    mass_kg: float
    laminate_mass_kg: float
    lcg_m: float | None
    tcg_m: float | None
    vcg_m: float | None
    cost: float | None


def course_point(snapshot: Snapshot, model: str, known: dict[object, LayerPlies]) -> CoursePoint:
    """Mass, centre and cost of a model; `known` keeps plies from one revision to the next.

    Raises NotComputable where the recipe is not complete.
    """
    tree = snapshot.models[model]
    zones = [resolve(case, known) for case in zone_cases(snapshot, tree)]
    laminate: list[tuple[float, Centre]] = [
        (sum(q.kg for q in zone.quantities), zone.case.zone.centroid_m) for zone in zones
    ]
    wanted = tree.model.targets.condition if tree.model.targets else "light"
    fill = dict(conditions_of(tree.model))[wanted]
    mass, centre = centre_of([*laminate, *masses_at(tree.model.mass, fill)])
    lcg, tcg, vcg = centre or (None, None, None)
    return CoursePoint(mass, sum(m for m, _ in laminate), lcg, tcg, vcg, _cost(snapshot, model, zones))


def _cost(snapshot: Snapshot, model: str, zones: list[Resolved]) -> float | None:
    if snapshot.prices is None:
        return None
    built = sum(total_cost(z.quantities, z.case.part, snapshot.prices).total for z in zones)
    parts = snapshot.models[model].parts
    areas = {part: sum(zone_area_m2(z) or 0.0 for z in tree.zones.values()) for part, tree in parts.items()}
    return built + sum(process_cost(parts[p].part, area, snapshot.prices) for p, area in areas.items())
