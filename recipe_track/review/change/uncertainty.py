"""How far the figures of a change spread with the tolerances of materials, and what drowns in it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from recipe_track.figures.craft import zone_cases
from recipe_track.figures.spread import (
    Effects,
    ModelEffects,
    difference,
    model_effects,
    spread,
    summed,
    tolerances_of,
    within_spread,
    zone_effects,
)
from recipe_track.impact.effects import Delta, Deltas, Impact
from recipe_track.recipe.snapshot import Snapshot

Deviations = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations of the deltas of one zone or of the craft; `drowned` are smaller than theirs."""

    deviations: Deviations = field(default_factory=dict)
    drowned: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Spreads:
    """Spreads of the changed zones by name, and of the craft."""

    zones: Mapping[str, Spread] = field(default_factory=dict)
    craft: Spread = field(default_factory=Spread)


def spreads_of(before: Snapshot, after: Snapshot, impact: Impact) -> Spreads:
    """Spread of every delta of a comparison; zones that did not change spread alike and cancel."""
    changed = [zone for zone in impact.zones if zone.status != "unchanged"]
    old = _effects(before, impact.model, {z.before_zone for z in changed})
    new = _effects(after, impact.model, {z.zone for z in changed if z.status != "removed"})
    differences = {z.zone: difference(old.get(z.before_zone or "", {}), new.get(z.zone, {})) for z in changed}
    zones = {z.zone: _spread(differences[z.zone], z.figures) for z in changed}
    return Spreads(zones, _spread(summed(differences.values()), impact.craft.figures))


def _effects(snapshot: Snapshot, model: str, names: set[str | None]) -> dict[str, Effects]:
    tree = snapshot.models.get(model)
    cases = [case for case in zone_cases(snapshot, tree) if case.name in names] if tree else []
    uncertain = [case for case in cases if any(True for _ in tolerances_of(case))]
    found = zone_effects(uncertain) if uncertain else ()
    return {case.name: effects for case, effects in zip(uncertain, found, strict=True)}


def _spread(effects: Effects, deltas: Deltas) -> Spread:
    deviations = {key: value for key, value in spread(effects).items() if value}
    drowned = tuple(
        key
        for key, deviation in deviations.items()
        if key in deltas and is_change(deltas[key]) and within_spread(deltas[key].delta, deviation)
    )
    return Spread(deviations, drowned)


def is_change(delta: Delta) -> bool:
    """Whether a delta is more than the rounding of computing it."""
    size = max(abs(delta.before or 0.0), abs(delta.after or 0.0))
    return delta.delta is not None and abs(delta.delta) > 1e-9 * size


def model_deviations(snapshot: Snapshot, model: str) -> dict[str, dict[str, float]]:
    """Standard deviations of the figures of every zone and part by name, and of the craft as `craft`."""
    effects: ModelEffects = model_effects(snapshot, model)
    named = {**effects.zones, **effects.parts, "craft": effects.craft}
    return {name: {k: v for k, v in spread(e).items() if v is not None} for name, e in named.items()}
