"""How uncertain the figures of a change are by the tolerances of materials, and what is not significant."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from recipe_track.figures.craft import zone_cases
from recipe_track.figures.uncertainty import (
    Effects,
    ModelEffects,
    difference,
    is_insignificant,
    model_effects,
    standard_deviations,
    summed,
    tolerances_of,
    zone_effects,
)
from recipe_track.impact.effects import Delta, Deltas, Impact
from recipe_track.recipe.snapshot import Snapshot

Deviations = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Standard deviations of the deltas of a zone or the craft; `insignificant` deltas lie below theirs."""

    deviations: Deviations = field(default_factory=dict)
    insignificant: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Uncertainties:
    """Uncertainties of the changed zones by name, and of the craft."""

    zones: Mapping[str, Uncertainty] = field(default_factory=dict)
    craft: Uncertainty = field(default_factory=Uncertainty)


def uncertainties_of(before: Snapshot, after: Snapshot, impact: Impact) -> Uncertainties:
    """Uncertainty of every delta of a comparison; what zones that did not change have in common cancels."""
    changed = [zone for zone in impact.zones if zone.status != "unchanged"]
    old = _effects(before, impact.model, {z.before_zone for z in changed})
    new = _effects(after, impact.model, {z.zone for z in changed if z.status != "removed"})
    differences = {z.zone: difference(old.get(z.before_zone or "", {}), new.get(z.zone, {})) for z in changed}
    zones = {z.zone: _spread(differences[z.zone], z.figures) for z in changed}
    return Uncertainties(zones, _spread(summed(differences.values()), impact.craft.figures))


def _effects(snapshot: Snapshot, model: str, names: set[str | None]) -> dict[str, Effects]:
    tree = snapshot.models.get(model)
    cases = [case for case in zone_cases(snapshot, tree) if case.name in names] if tree else []
    uncertain = [case for case in cases if any(True for _ in tolerances_of(case))]
    found = zone_effects(uncertain) if uncertain else ()
    return {case.name: effects for case, effects in zip(uncertain, found, strict=True)}


def _spread(effects: Effects, deltas: Deltas) -> Uncertainty:
    deviations = {key: value for key, value in standard_deviations(effects).items() if value}
    insignificant = tuple(
        key
        for key, deviation in deviations.items()
        if key in deltas and is_change(deltas[key]) and is_insignificant(deltas[key].delta, deviation)
    )
    return Uncertainty(deviations, insignificant)


def is_change(delta: Delta) -> bool:
    """Whether a delta is more than the rounding of computing it."""
    size = max(abs(delta.before or 0.0), abs(delta.after or 0.0))
    return delta.delta is not None and abs(delta.delta) > 1e-9 * size


def model_deviations(snapshot: Snapshot, model: str) -> dict[str, dict[str, float]]:
    """Standard deviations of the figures of every zone and part by name, and of the craft as `craft`."""
    effects: ModelEffects = model_effects(snapshot, model)
    named = {**effects.zones, **effects.parts, "craft": effects.craft}
    found = {name: standard_deviations(each) for name, each in named.items()}
    return {name: {k: v for k, v in each.items() if v is not None} for name, each in found.items()}
