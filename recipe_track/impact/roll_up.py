"""Causes of part and craft: sums over zones, the process's own cost, and the other masses aboard."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from recipe_track.figures.cost import process_cost
from recipe_track.figures.craft import PartFigures
from recipe_track.figures.plies import NotComputable
from recipe_track.figures.zone import ZoneFigures
from recipe_track.impact.mixture import PLAYERS, Library
from recipe_track.impact.outcome import Causes
from recipe_track.impact.shapley import shapley
from recipe_track.impact.zones import ZonePair
from recipe_track.recipe.craft import Part

OTHER_MASSES = "other_masses"
Shares = dict[str, float]
_TERM_PLAYERS = ("layup", "geometry", "process", "prices")


@dataclass(frozen=True, slots=True)
class ZoneShare:
    """A zone's figures on both sides and the causes of its deltas."""

    pair: ZonePair
    before: ZoneFigures | None
    after: ZoneFigures | None
    causes: Causes | None
    causes_note: str | None

    def stands_in(self, part: str) -> tuple[bool, bool]:
        """Whether the zone belongs to a part before, and after."""
        names = (self.pair.before, self.pair.after)
        before, after = (name is not None and name.startswith(f"{part}/") for name in names)
        return before, after


@dataclass(frozen=True, slots=True)
class PartSides:
    """A part on both sides, None where it does not exist, with materials and prices in force."""

    id: str
    parts: tuple[Part | None, Part | None]
    figures: tuple[PartFigures | None, PartFigures | None]
    libraries: tuple[Library, Library]


def part_causes(part: PartSides, zones: Sequence[ZoneShare]) -> tuple[Causes | None, str | None]:
    """Causes of a part's mass and cost; none where it exists on one side only."""
    if None in part.figures:
        return {}, None
    here = [(zone, zone.stands_in(part.id)) for zone in zones]
    if note := _unknown(zone for zone, (before, after) in here if before and after):
        return None, note
    causes = {"mass_kg": _sum(_zone_shares(zone, "mass_kg", *sides) for zone, sides in here)}
    if part.libraries[0].prices is None:
        return causes, None
    try:
        term = process_shares(part, zones)
    except NotComputable as missing:
        return None, f"a combination of before and after cannot be computed: {part.id}: {missing}"
    causes["cost"] = _sum([*(_zone_shares(zone, "cost", *sides) for zone, sides in here), term])
    return causes, None


def craft_causes(
    other_masses_kg: tuple[float, float], parts: Sequence[PartSides], zones: Sequence[ZoneShare]
) -> tuple[Causes | None, str | None]:
    """Causes of the mass and cost of a craft that exists on both sides.

    `other_masses_kg` is everything aboard that is not laminate, before and after, in the craft's condition.
    """
    if note := _unknown(zone for zone in zones if zone.before and zone.after):
        return None, note
    before, after = other_masses_kg
    none = {OTHER_MASSES: 0.0}
    masses = [_zone_shares(zone, "mass_kg", True, True) for zone in zones]
    causes = {"mass_kg": _sum([*masses, {OTHER_MASSES: after - before}])}
    if any(part.libraries[0].prices is None for part in parts):
        return causes, None
    try:
        terms = [process_shares(part, zones) for part in parts]
    except NotComputable as missing:
        return None, f"a combination of before and after cannot be computed: {missing}"
    causes["cost"] = _sum([*(_zone_shares(zone, "cost", True, True) for zone in zones), *terms, none])
    return causes, None


def _unknown(zones: Iterable[ZoneShare]) -> str | None:
    notes = [f"{zone.pair.name}: {zone.causes_note}" for zone in zones if zone.causes is None]
    return "; ".join(notes) or None


def _zone_shares(zone: ZoneShare, key: str, before: bool, after: bool) -> Shares:
    """What a zone gives to a sum it belongs to before and after; coming or going counts as layup."""
    if before and after and zone.before and zone.after:
        return dict((zone.causes or {})[key])
    gone = getattr(zone.before, key) if before and zone.before else 0.0
    come = getattr(zone.after, key) if after and zone.after else 0.0
    return {"layup": come - gone}


def _sum(shares: Iterable[Mapping[str, float]]) -> Shares:
    total: Shares = dict.fromkeys(PLAYERS, 0.0)
    for share in shares:
        for player, value in share.items():
            total[player] = total.get(player, 0.0) + value
    return total


def process_shares(part: PartSides, zones: Sequence[ZoneShare]) -> Shares:
    """Causes of the delta of a part's process cost; that of a part come or gone counts as layup."""
    if None in part.parts:
        gone, come = (figures.process_cost or 0.0 if figures else 0.0 for figures in part.figures)
        return {"layup": come - gone}
    values = [_process_cost(part, zones, mask) for mask in range(1 << len(_TERM_PLAYERS))]
    return dict(zip(_TERM_PLAYERS, shapley(values), strict=True))


def _process_cost(part: PartSides, zones: Sequence[ZoneShare], mask: int) -> float:
    layup, geometry, process, prices = (mask >> n & 1 for n in range(len(_TERM_PLAYERS)))
    made, priced = part.parts[process], part.libraries[prices].prices
    assert made is not None
    assert priced is not None
    return process_cost(made, _area_m2(part.id, zones, layup, geometry), priced)


def _area_m2(part: str, zones: Sequence[ZoneShare], layup: int, geometry: int) -> float:
    """Area of a part's plates and stiffeners: zones come and go with the layup, others change size."""
    total = 0.0
    for zone in zones:
        stands = zone.stands_in(part)
        side = geometry if all(stands) else layup
        figures = (zone.before, zone.after)[side]
        if stands[side] and figures is not None:
            total += figures.area_m2 or 0.0
    return total
