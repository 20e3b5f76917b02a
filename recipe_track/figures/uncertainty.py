"""How uncertain figures are by the tolerances of the materials: one standard deviation, to first order.

Every stated tolerance is one standard deviation of one input, shared by all layers of its material in every
zone; different inputs are independent of each other, and a tolerance that is not stated counts as none. A
figure's change per standard deviation of an input comes from central finite differences, all of them in one
pass; the root of the sum of their squares is the figure's own (J. R. Taylor, An Introduction to Error
Analysis, from memory). Both sides of a comparison share their inputs, so that the deviation of a delta is
that of the difference, not of two independent figures. Tested lamina values stay as they are: there a
tolerance of the areal mass only moves the split of fibre and resin.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot
from typing import Literal

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.figures.results import FIGURES, SUMMED_KEYS, ZONE_KEYS, ZoneFigures, as_read
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.layup import Layer, Zone
from recipe_track.recipe.materials import Core, Material, Reinforcement
from recipe_track.recipe.snapshot import Snapshot

DEVIATION_KEYS = as_read(key for key in ZONE_KEYS if FIGURES[key].deviation)
STEP = 0.05  # of a standard deviation: small enough for first order, large enough for rounding
ToleranceKey = Literal[
    "areal_mass_tolerance_fraction", "fibre_mass_fraction_tolerance", "thickness_tolerance_mm"
]


@dataclass(frozen=True, slots=True)
class Tolerance:
    """An uncertain input: what is uncertain of which material."""

    material: str
    key: ToleranceKey


Effects = Mapping[Tolerance, Mapping[str, float]]
"""The change of each figure for one standard deviation of each input; absent figures have no entry."""


@dataclass(frozen=True, slots=True)
class ModelEffects:
    """Effects of every zone and part by name, and of the craft."""

    zones: Mapping[str, Effects]
    parts: Mapping[str, Effects]
    craft: Effects


def model_effects(snapshot: Snapshot, model: str) -> ModelEffects:
    """Effects of every stated tolerance on zones, parts and craft of one model."""
    cases = zone_cases(snapshot, snapshot.models[model])
    zones = {case.name: effects for case, effects in zip(cases, zone_effects(cases), strict=True)}
    parts = {
        part: summed(effects for name, effects in zones.items() if name.startswith(f"{part}/"))
        for part in sorted(snapshot.models[model].parts)
    }
    return ModelEffects(zones, parts, summed(zones.values()))


def zone_effects(cases: Sequence[ZoneCase]) -> tuple[Effects, ...]:
    """Effects of the tolerances of each zone's materials on its figures."""
    inputs = [list(tolerances_of(case)) for case in cases]
    varied = [
        shifted(case, tolerance, step)
        for case, tolerances in zip(cases, inputs, strict=True)
        for tolerance in tolerances
        for step in (-STEP, STEP)
    ]
    computed = iter(zone_figures(varied, with_margins=False))
    return tuple(
        {tolerance: _slopes(next(computed), next(computed)) for tolerance in tolerances}
        for tolerances in inputs
    )


def _slopes(below: ZoneFigures, above: ZoneFigures) -> dict[str, float]:
    pairs = ((key, getattr(below, key), getattr(above, key)) for key in DEVIATION_KEYS)
    return {
        key: (high - low) / (2 * STEP) for key, low, high in pairs if low is not None and high is not None
    }


def tolerances_of(case: ZoneCase) -> Iterator[Tolerance]:
    """Every tolerance stated by a material of a zone, or of the zone it is attached to."""
    layers = (*case.zone.layup, *(case.attached.zone.layup if case.attached else ()))
    for name in dict.fromkeys(layer.material for layer in layers):
        material = case.materials.get(name)
        if isinstance(material, Reinforcement):
            if material.areal_mass_tolerance_fraction is not None:
                yield Tolerance(name, "areal_mass_tolerance_fraction")
            if material.fibre_mass_fraction_tolerance is not None:
                yield Tolerance(name, "fibre_mass_fraction_tolerance")
        elif isinstance(material, Core) and material.thickness_tolerance_mm is not None:
            yield Tolerance(name, "thickness_tolerance_mm")


def shifted(case: ZoneCase, tolerance: Tolerance, deviations: float) -> ZoneCase:
    """The zone with one input moved by so many standard deviations, in every layer of the material."""
    name = tolerance.material
    material = case.materials[name]
    by = deviations * (getattr(material, tolerance.key) or 0.0)
    return replace(
        case,
        materials={**case.materials, name: _shifted_material(material, tolerance.key, by)},
        zone=_shifted_zone(case.zone, tolerance, by),
        attached=shifted(case.attached, tolerance, deviations) if case.attached else None,
    )


def _shifted_material(material: Material, key: ToleranceKey, by: float) -> Material:
    if isinstance(material, Reinforcement):
        if key == "areal_mass_tolerance_fraction":
            return material.model_copy(update={"areal_mass_g_m2": material.areal_mass_g_m2 * (1 + by)})
        fractions = {process: fraction + by for process, fraction in material.fibre_mass_fraction.items()}
        return material.model_copy(update={"fibre_mass_fraction": fractions})
    return material


def _shifted_zone(zone: Zone, tolerance: Tolerance, by: float) -> Zone:
    field = {"thickness_tolerance_mm": "thickness_mm", "fibre_mass_fraction_tolerance": "fibre_mass_fraction"}
    if tolerance.key not in field:
        return zone
    layup = tuple(
        _shifted_layer(layer, field[tolerance.key], by) if layer.material == tolerance.material else layer
        for layer in zone.layup
    )
    return zone.model_copy(update={"layup": layup})


def _shifted_layer(layer: Layer, field: str, by: float) -> Layer:
    own = getattr(layer, field)
    return layer if own is None else layer.model_copy(update={field: own + by})


def summed(effects: Iterable[Effects]) -> Effects:
    """Effects on the sums over zones: an input shared by several zones moves them together."""
    total: dict[Tolerance, dict[str, float]] = {}
    for zone in effects:
        for tolerance, slopes in zone.items():
            mine = total.setdefault(tolerance, {})
            for key in SUMMED_KEYS:
                if key in slopes:
                    mine[key] = mine.get(key, 0.0) + slopes[key]
    return total


def difference(before: Effects, after: Effects) -> Effects:
    """Effects on the deltas, after less before; what both sides share cancels."""
    return {
        tolerance: {
            key: after.get(tolerance, {}).get(key, 0.0) - before.get(tolerance, {}).get(key, 0.0)
            for key in dict.fromkeys((*before.get(tolerance, {}), *after.get(tolerance, {})))
        }
        for tolerance in dict.fromkeys((*before, *after))
    }


def standard_deviations(effects: Effects) -> dict[str, float | None]:
    """Standard deviation of each figure; None where it is absent or no tolerance is stated at all."""
    slopes = {key: [s[key] for s in effects.values() if key in s] for key in DEVIATION_KEYS}
    return {key: hypot(*values) if values else None for key, values in slopes.items()}


def is_insignificant(delta: float | None, deviation: float | None) -> bool:
    """Whether a delta that is not nothing is smaller than one standard deviation of it."""
    return bool(delta) and deviation is not None and abs(delta or 0.0) < deviation
