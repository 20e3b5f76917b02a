"""A zone that is partly as before and partly as after: the combinations from which causes are told."""

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from typing import Literal

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.zone import zone_figures
from recipe_track.impact.align import Alignment
from recipe_track.impact.basis import layup_changed
from recipe_track.impact.materials import differing_keys, is_redefined, materials_used
from recipe_track.impact.rows import Rows, changed_places
from recipe_track.recipe.craft import Part, Prices
from recipe_track.recipe.fields import Process
from recipe_track.recipe.layup import Layer, Zone
from recipe_track.recipe.materials import Material, Reinforcement
from recipe_track.recipe.snapshot import Snapshot

MOST_EDITS_IN_ALL_ORDERS = 8
# Bits of the players at after (in the order of `others`), bits of the edits made.
State = tuple[int, int]


def _in_lines(plies: Sequence[Layer]) -> Iterator[Layer]:
    """Plies gathered into lines again: equal neighbours are repeats of one layer."""
    at = 0
    while at < len(plies):
        end = at
        while end < len(plies) and plies[end] is plies[at]:
            end += 1
        layer = plies[at]
        yield layer if layer.plies == end - at else layer.model_copy(update={"plies": end - at})
        at = end


Player = Literal["layup", "geometry", "materials", "process", "prices"]
PLAYERS: tuple[Player, ...] = ("layup", "geometry", "materials", "process", "prices")
"""What a stiffener stands on, layers included, is part of its geometry."""


@dataclass(frozen=True, slots=True)
class Library:
    """Materials and prices in force on one side; what the side lacks is taken from the other."""

    materials: Mapping[str, Material]
    prices: Prices | None


@dataclass(frozen=True, slots=True)
class ZoneSide:
    """One zone as it stands on one side, a stiffener with the plate that it stands on."""

    name: str
    zone: Zone
    part: Part
    library: Library
    attached: "ZoneSide | None" = None


def libraries(before: Snapshot, after: Snapshot) -> tuple[Library, Library]:
    """Both sides' materials and prices, each completed from the other.

    Prices count only where both sides have them in one currency.
    """
    return _completed(before, after), _completed(after, before)


def same_currency(before: Prices | None, after: Prices | None) -> bool:
    """Whether costs of the two can be told apart by amount."""
    return before is None or after is None or before.currency == after.currency


def _completed(side: Snapshot, other: Snapshot) -> Library:
    materials = {**other.materials, **side.materials}
    prices = side.prices
    if prices is None or other.prices is None or not same_currency(prices, other.prices):
        return Library(materials, None)
    listed = {**other.prices.materials, **prices.materials}
    return Library(materials, prices.model_copy(update={"materials": listed}))


def _used_by(sides: Sequence[ZoneSide]) -> frozenset[str]:
    """Materials that any mix of some sides is made of."""
    return frozenset(
        name
        for zone in (side.zone for side in sides)
        for part in (side.part for side in sides)
        for library in (side.library for side in sides)
        for name in materials_used(zone, part, library.materials)
    )


@dataclass(slots=True)
class ZoneSides:
    """Both sides of one zone, any part of which can be put in force."""

    before: ZoneSide
    after: ZoneSide
    used: frozenset[str] = frozenset()
    beneath: frozenset[str] = frozenset()
    _materials: dict[tuple[bool, bool], Mapping[str, Material]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.used = _used_by((self.before, self.after))
        self.beneath = _used_by(self._standing_on()) | self.used

    def _standing_on(self) -> tuple["ZoneSide", ...]:
        return tuple(side.attached for side in (self.before, self.after) if side.attached is not None)

    def differing(self) -> tuple[Player, ...]:
        """Players other than the layup whose two sides differ."""
        old, new = self.before, self.after
        players: dict[Player, bool] = {
            "geometry": bool(set(differing_keys(old.zone, new.zone)) - {"layup"})
            or self._attached_layups_differ(),
            "materials": any(self._definitions_differ(name) for name in self.beneath),
            "process": bool(differing_keys(old.part, new.part)) or self._attached_parts_differ(),
            "prices": self._prices_differ(),
        }
        return tuple(player for player, differ in players.items() if differ)

    def _attached_layups_differ(self) -> bool:
        old, new = self.before.attached, self.after.attached
        return old is not None and new is not None and layup_changed(old.zone, new.zone)

    def _attached_parts_differ(self) -> bool:
        """Whether the part of the plate that a stiffener stands on is made otherwise."""
        old, new = self.before.attached, self.after.attached
        return old is not None and new is not None and bool(differing_keys(old.part, new.part))

    def _definitions_differ(self, name: str) -> bool:
        old, new = (side.library.materials.get(name) for side in (self.before, self.after))
        return old is not new if old is None or new is None else is_redefined(old, new)

    def _prices_differ(self) -> bool:
        old, new = self.before.library.prices, self.after.library.prices
        if old is None or new is None:
            return False
        return old.labour_per_hour != new.labour_per_hour or any(
            old.materials.get(name) != new.materials.get(name) for name in self.used
        )

    def case(self, at_after: Set[str], layup: tuple[Layer, ...]) -> ZoneCase:
        """The zone with that layup and the named players as after, the others as before."""
        place = self._side("geometry" in at_after)
        return ZoneCase(
            self.after.name,
            place.zone.model_copy(update={"layup": layup}),
            self._side("process" in at_after).part,
            self._materials_in_force("materials" in at_after, "process" in at_after),
            self._side("prices" in at_after).library.prices,
            self._attached(at_after),
        )

    def _attached(self, at_after: Set[str]) -> ZoneCase | None:
        """What the stiffener stands on, made as its part is by the process in force."""
        mine, made = (self._side(player in at_after).attached for player in ("geometry", "process"))
        if mine is None:
            return None
        made = made if made is not None else mine
        materials = self._materials_in_force("materials" in at_after, "process" in at_after)
        return ZoneCase(mine.name, mine.zone, made.part, materials, None)

    def _side(self, after: bool) -> ZoneSide:
        return self.after if after else self.before

    def _materials_in_force(self, materials_after: bool, process_after: bool) -> Mapping[str, Material]:
        key = (materials_after, process_after)
        if key not in self._materials:
            force, other = (self._side(at).library.materials for at in (materials_after, not materials_after))
            here, there = (self._side(at).part.process for at in (process_after, not process_after))
            self._materials[key] = {
                name: _with_fractions(force[name], other.get(name), self._processes(name, here), there)
                for name in self.beneath
                if name in force
            }
        return self._materials[key]

    def _processes(self, material: str, here: Process) -> set[Process]:
        """The processes by which either layup lays a material, in a part made by `here`."""
        layers = [(layer, here) for side in (self.before, self.after) for layer in side.zone.layup]
        layers += [(layer, side.part.process) for side in self._standing_on() for layer in side.zone.layup]
        return {layer.process or process for layer, process in layers if layer.material == material}


@dataclass(slots=True)
class ZoneCombinations:
    """A zone on both sides, its players, its edits, and the figures of every combination once evaluated."""

    sides: ZoneSides
    alignment: Alignment
    rows: Rows
    ends: tuple[ZoneFigures, ZoneFigures]
    others: tuple[Player, ...] = field(init=False)
    edits: tuple[int, ...] = field(init=False)
    values: dict[State, ZoneFigures] = field(init=False)
    failure: str | None = None

    def __post_init__(self) -> None:
        self.others = self.sides.differing()
        self.edits = changed_places(self.rows.rows)
        self.values = {self.last: self.ends[1], (0, 0): self.ends[0]}

    @property
    def players(self) -> tuple[Player, ...]:
        """Everything that differs; the layup, if it does, last."""
        return (*self.others, "layup") if self.edits else self.others

    @property
    def all_edits(self) -> int:
        """The bits of all edits."""
        return (1 << len(self.edits)) - 1

    @property
    def last(self) -> State:
        """The state in which everything is as after."""
        return (1 << len(self.others)) - 1, self.all_edits

    def cause_states(self) -> Iterator[State]:
        """The layup as a whole, in every combination with the others."""
        for mask in range(1 << len(self.others)):
            yield from {(mask, 0), (mask, self.all_edits)}

    def edit_states(self) -> Iterator[State]:
        """Every set of edits, or those made in file order, in every combination of the others."""
        for mask in range(1 << len(self.others)):
            for made in self.edit_sets():
                yield mask, made

    def edit_sets(self) -> Sequence[int]:
        """All sets of up to eight edits; of more, only those that file order passes through."""
        n = len(self.edits)
        return range(1 << n) if self.in_all_orders else [(1 << k) - 1 for k in range(n + 1)]

    @property
    def in_all_orders(self) -> bool:
        """Whether the edits are few enough for their Shapley values."""
        return len(self.edits) <= MOST_EDITS_IN_ALL_ORDERS

    def case(self, state: State) -> ZoneCase:
        """What one combination is computed from."""
        mask, made = state
        at_after = {player for n, player in enumerate(self.others) if mask >> n & 1}
        return self.sides.case(at_after, self.layup(made))

    def layup(self, made: int) -> tuple[Layer, ...]:
        """Before's layup with only the edits of those bits made."""
        done = {row for n, row in enumerate(self.edits) if made >> n & 1}
        old, new = self.alignment.before, self.alignment.after
        plies: list[Layer] = []
        for i, j in self.alignment.slots():
            if j is not None and self.rows.of_after[j] in done:
                plies.append(new[j].layer)
            elif i is not None and self.rows.of_before[i] not in done:
                plies.append(old[i].layer)
        return tuple(_in_lines(plies))


def evaluate(zones: Sequence[ZoneCombinations], with_edits: bool) -> None:
    """Figures of every combination of every zone in one pass; a zone that cannot be computed is told so."""
    missing = {id(zone): _missing(zone, with_edits) for zone in zones}
    try:
        _fill(zones, missing)
    except NotComputable:
        for zone in zones:
            try:
                _fill([zone], missing)
            except NotComputable as fault:
                zone.failure = str(fault)


def _missing(zone: ZoneCombinations, with_edits: bool) -> Mapping[State, ZoneCase]:
    wanted = [*zone.cause_states(), *(zone.edit_states() if with_edits and zone.edits else ())]
    return {state: zone.case(state) for state in dict.fromkeys(wanted) if state not in zone.values}


def _fill(zones: Sequence[ZoneCombinations], missing: Mapping[int, Mapping[State, ZoneCase]]) -> None:
    cases = [case for zone in zones for case in missing[id(zone)].values()]
    figures = iter(zone_figures(cases, with_margins=False) if cases else ())
    for zone in zones:
        zone.values.update(zip(missing[id(zone)], figures, strict=False))


def _with_fractions(
    material: Material, other: Material | None, processes: Set[Process], there: Process
) -> Material:
    """A fabric completed by the fibre fractions it lacks for some processes."""
    if not isinstance(material, Reinforcement):
        return material
    own = material.fibre_mass_fraction
    theirs = other.fibre_mass_fraction if isinstance(other, Reinforcement) else {}
    lacking = {process: theirs.get(process) or own.get(there) for process in processes if process not in own}
    borrowed = {process: fraction for process, fraction in lacking.items() if fraction is not None}
    if not borrowed:
        return material
    return material.model_copy(update={"fibre_mass_fraction": {**own, **borrowed}})
