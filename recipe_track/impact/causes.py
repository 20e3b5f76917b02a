"""Why figures changed: fair shares of layup, geometry, materials, process, prices."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import factorial

from recipe_track.figures.costs import process_cost
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.results import CAUSE_KEYS, PartFigures, ZoneFigures
from recipe_track.impact.combinations import (
    MOST_EDITS_TOLD,
    PLAYERS,
    Library,
    State,
    ZoneCombinations,
)
from recipe_track.impact.effects import Causes, LayerEdit
from recipe_track.recipe.craft import Part
from recipe_track.recipe.identity import ZonePair

CoalitionValues = Mapping[State, float]


def cause_keys(combined: ZoneCombinations) -> tuple[str, ...]:
    """The figures that exist on both sides; costs only where both have prices in one currency."""
    comparable = combined.sides.before.library.prices is not None
    return tuple(
        key
        for key in CAUSE_KEYS
        if (key != "cost" or comparable) and all(getattr(end, key) is not None for end in combined.ends)
    )


def coalition_values(combined: ZoneCombinations, key: str, states: list[State]) -> CoalitionValues | None:
    """A figure in each of the states; None where one of them has none."""
    values = {state: getattr(combined.values[state], key) for state in states}
    return None if None in values.values() else values


def zone_causes(combined: ZoneCombinations) -> tuple[Causes | None, str | None]:
    """Shares of every cause in the delta of every figure, or why they cannot be told."""
    if combined.failure is not None:
        return None, f"a combination of before and after cannot be computed: {combined.failure}"
    causes = {}
    for key in cause_keys(combined):
        value = coalition_values(combined, key, list(combined.cause_states()))
        if value is None:
            return None, f"a combination of before and after has no {key}"
        causes[key] = _shares(combined, value)
    return causes, None


def _shares(combined: ZoneCombinations, value: CoalitionValues) -> dict[str, float]:
    players = combined.players
    others = (1 << len(combined.others)) - 1
    layup = {0: 0, 1: combined.all_edits}
    listed = [value[mask & others, layup[mask >> len(combined.others)]] for mask in range(1 << len(players))]
    return {**dict.fromkeys(PLAYERS, 0.0), **dict(zip(players, shapley(listed), strict=True))}


def edits_of(combined: ZoneCombinations) -> tuple[tuple[LayerEdit, ...], str | None]:
    """Share of each edit in the `layup` cause, and a note on how it was told.

    Within each combination of the other causes the edits share what the whole layup adds there, weighted as
    the layup's own share is: the Owen value of the edits, which adds up to the layup cause for every figure.
    Mass and cost are sums over layers, so that theirs are exact and depend on no order.
    """
    if combined.failure is not None or not combined.edits:
        return (), None
    if not combined.told_one_by_one:
        return (), f"{len(combined.edits):,} edits: the share of each is told of at most {MOST_EDITS_TOLD}"
    states = list(combined.edit_states())
    known = {key: coalition_values(combined, key, states) for key in cause_keys(combined)}
    shares = {key: _edit_shares(combined, value) for key, value in known.items() if value is not None}
    edits = []
    for n, place in enumerate(combined.edits):
        row = combined.rows.rows[place]
        effects = {key: share[n] for key, share in shares.items()}
        edits.append(LayerEdit(place, row.mark, row.before, row.after, effects))
    return tuple(edits), _edits_note(combined, [key for key, value in known.items() if value is None])


def _edits_note(combined: ZoneCombinations, unknown: list[str]) -> str | None:
    notes = [f"{key} does not exist with only some of the edits" for key in unknown]
    if not combined.in_all_orders:
        notes.append("more than 8 edits: their shares of the stiffness follow file order")
    return "; ".join(notes) or None


def _edit_shares(combined: ZoneCombinations, value: CoalitionValues) -> list[float]:
    n = len(combined.others)
    total = [0.0] * len(combined.edits)
    for mask in range(1 << n):
        listed = [value[mask, made] for made in combined.edit_sets()]
        within = shapley(listed) if combined.in_all_orders else _in_file_order(listed)
        weight = coalition_weight(mask.bit_count(), n + 1)
        total = [t + weight * share for t, share in zip(total, within, strict=True)]
    return total


def _in_file_order(values: list[float]) -> list[float]:
    return [after - before for before, after in pairwise(values)]


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


def shapley(values: Sequence[float]) -> list[float]:
    """Each player's share of `values[-1] - values[0]`: the mean of what it adds over all orders of joining.

    `values[mask]` is the value with the players of the set bits; 2ⁿ of them for n players.

    References
    ----------
    L. S. Shapley, A value for n-person games, 1953 (from memory).
    """
    n = len(values).bit_length() - 1
    return [
        sum(
            coalition_weight(mask.bit_count(), n) * (values[mask | 1 << player] - values[mask])
            for mask in range(len(values))
            if not mask >> player & 1
        )
        for player in range(n)
    ]


def coalition_weight(joined: int, n: int) -> float:
    """Share of all orders of n players in which exactly a given set of `joined` comes before a player."""
    return factorial(joined) * factorial(n - joined - 1) / factorial(n)
