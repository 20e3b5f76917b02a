"""Mass, centre and cost of a model at many revisions: what stayed the same is not computed again."""

from dataclasses import dataclass, field

from recipe_track.figures.cases import ZoneCase, quantities_of
from recipe_track.figures.costs import process_cost, total_cost, zone_area_m2
from recipe_track.figures.craft import centre_of, conditions_of, masses_at, zone_case
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.plies import LayerPlies
from recipe_track.figures.results import Centre, CraftTotals
from recipe_track.recipe.craft import Model, Prices
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot


@dataclass(frozen=True, slots=True, eq=False)
class _ZoneTotals:
    """A zone's mass and cost, or why it has no cost; `case` keeps alive what it is known by."""

    mass_kg: float
    centroid_m: Centre
    cost: float | NotComputable | None
    case: ZoneCase


@dataclass
class Totals:
    """Totals of one revision after the other; zones, parts and layers are known again by identity."""

    _plies: dict[object, LayerPlies] = field(default_factory=dict)
    _zones: dict[tuple[int, ...], _ZoneTotals] = field(default_factory=dict)
    _parts: dict[tuple[int, ...], tuple[PartTree, list[_ZoneTotals]]] = field(default_factory=dict)
    _processes: dict[tuple[int, int], tuple[float, PartTree, Prices]] = field(default_factory=dict)
    _others: dict[int, tuple[list[tuple[float, Centre]], Model]] = field(default_factory=dict)

    def of(self, snapshot: Snapshot, model: str) -> CraftTotals:
        """Mass, centre and cost of a model; raises NotComputable where the recipe is not complete."""
        try:
            return self._summed(snapshot, model)
        except NotComputable:
            # What is missing is told of the first zone that lacks something, as if nothing had been kept.
            return Totals()._summed(snapshot, model)

    def _summed(self, snapshot: Snapshot, model: str) -> CraftTotals:
        tree = snapshot.models[model]
        # Zones by name: `deck-aft/…` comes before `deck/…`.
        parts = sorted(tree.parts.values(), key=lambda part: f"{part.id}/")
        zones = [zone for part in parts for zone in self._zones_of(snapshot, tree, part)]
        laminate = [(zone.mass_kg, zone.centroid_m) for zone in zones]
        mass, centre = centre_of([*laminate, *self._masses(tree.model)])
        lcg, tcg, vcg = centre or (None, None, None)
        cost = None
        if snapshot.prices is not None:
            built = sum([_known(zone.cost) for zone in zones])
            cost = built + sum(self._process(part, snapshot.prices) for part in tree.parts.values())
        return CraftTotals(mass, sum([m for m, _ in laminate]), lcg, tcg, vcg, cost)

    def _zones_of(self, snapshot: Snapshot, tree: ModelTree, part: PartTree) -> list[_ZoneTotals]:
        key = (id(part), id(snapshot.materials), id(snapshot.prices))
        if key not in self._parts:
            names = sorted(f"{part.id}/{bare}" for bare in part.zones)
            self._parts[key] = part, [self._zone(snapshot, tree, name) for name in names]
        return self._parts[key][1]

    def _zone(self, snapshot: Snapshot, tree: ModelTree, name: str) -> _ZoneTotals:
        zone, part = tree.zones[name], tree.parts[name.split("/", 1)[0]].part
        key = (id(zone), id(part), id(snapshot.materials), id(snapshot.prices))
        if key not in self._zones:
            self._zones[key] = self._computed(zone_case(snapshot, tree, name))
        return self._zones[key]

    def _computed(self, case: ZoneCase) -> _ZoneTotals:
        _, quantities = quantities_of(case, self._plies)
        mass = sum(q.kg for q in quantities)
        cost: float | NotComputable | None = None
        if case.prices is not None:
            try:
                cost = total_cost(quantities, case.part, case.prices).total
            except NotComputable as missing:  # told only once every zone is resolved
                cost = missing
        return _ZoneTotals(mass, case.zone.centroid_m, cost, case)

    def _masses(self, model: Model) -> list[tuple[float, Centre]]:
        """Other masses in the condition of the targets."""
        if id(model) not in self._others:
            wanted = model.targets.condition if model.targets else "light"
            fill = dict(conditions_of(model))[wanted]
            self._others[id(model)] = masses_at(model.mass, fill), model
        return self._others[id(model)][0]

    def _process(self, part: PartTree, prices: Prices) -> float:
        key = (id(part), id(prices))
        if key not in self._processes:
            area = sum(zone_area_m2(zone) or 0.0 for zone in part.zones.values())
            self._processes[key] = process_cost(part.part, area, prices), part, prices
        return self._processes[key][0]


def _known(cost: float | NotComputable | None) -> float:
    if isinstance(cost, NotComputable):
        raise cost
    return cost or 0.0
