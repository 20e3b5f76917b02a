"""A zone that is partly as before and partly as after: the combinations from which causes are told."""

from collections.abc import Mapping, Set
from dataclasses import dataclass, field
from typing import Literal

from recipe_track.figures.cases import ZoneCase
from recipe_track.impact.uses import materials_of
from recipe_track.recipe.craft import Part, Prices
from recipe_track.recipe.fields import Process, Written
from recipe_track.recipe.layup import Layer, Zone
from recipe_track.recipe.materials import Material, Reinforcement
from recipe_track.recipe.snapshot import Snapshot

Player = Literal["layup", "geometry", "materials", "process", "prices"]
PLAYERS: tuple[Player, ...] = ("layup", "geometry", "materials", "process", "prices")

# Words and records that no figure is computed from.
SILENT = frozenset(
    {"name", "source", "note", "extent", "zero_direction", "seen_from", "drawing", "formerly", "required"}
)


@dataclass(frozen=True, slots=True)
class Library:
    """Materials and prices in force on one side; what the side lacks is taken from the other."""

    materials: Mapping[str, Material]
    prices: Prices | None


@dataclass(frozen=True, slots=True)
class ZoneSide:
    """One zone as it stands on one side."""

    name: str
    zone: Zone
    part: Part
    library: Library


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


@dataclass(slots=True)
class Mixture:
    """Both sides of one zone, any part of which can be put in force."""

    before: ZoneSide
    after: ZoneSide
    used: frozenset[str] = frozenset()
    _materials: dict[tuple[bool, bool], Mapping[str, Material]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.used = frozenset(
            name
            for zone in (self.before.zone, self.after.zone)
            for part in (self.before.part, self.after.part)
            for library in (self.before.library, self.after.library)
            for name in materials_of(zone, part, library.materials)
        )

    def differing(self) -> tuple[Player, ...]:
        """Players other than the layup whose two sides differ."""
        old, new = self.before, self.after
        players: dict[Player, bool] = {
            "geometry": differs(old.zone, new.zone, {"layup"}),
            "materials": any(self._definitions_differ(name) for name in self.used),
            "process": differs(old.part, new.part),
            "prices": self._prices_differ(),
        }
        return tuple(player for player, differ in players.items() if differ)

    def _definitions_differ(self, name: str) -> bool:
        old, new = (side.library.materials.get(name) for side in (self.before, self.after))
        if old is None or new is None or type(old) is not type(new):
            return old is not new
        return differs(old, new)

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
        )

    def _side(self, after: bool) -> ZoneSide:
        return self.after if after else self.before

    def _materials_in_force(self, materials_after: bool, process_after: bool) -> Mapping[str, Material]:
        key = (materials_after, process_after)
        if key not in self._materials:
            force, other = (self._side(at).library.materials for at in (materials_after, not materials_after))
            here, there = (self._side(at).part.process for at in (process_after, not process_after))
            self._materials[key] = {
                name: _with_fractions(force[name], other.get(name), self._processes(name, here), there)
                for name in self.used
                if name in force
            }
        return self._materials[key]

    def _processes(self, material: str, here: Process) -> set[Process]:
        """The processes by which either layup lays a material, in a part made by `here`."""
        layers = (*self.before.zone.layup, *self.after.zone.layup)
        return {layer.process or here for layer in layers if layer.material == material}


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


def differs(before: Written, after: Written, aside: Set[str] = frozenset()) -> bool:
    """Whether two tables of one kind differ in anything that figures are computed from."""
    names = type(before).model_fields.keys() - SILENT - aside
    return any(getattr(before, name) != getattr(after, name) for name in names)
