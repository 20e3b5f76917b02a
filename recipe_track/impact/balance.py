"""How a change moves the craft: its centre in every condition, how it floats, what a kilogram saved does."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from recipe_track.figures.craft import conditions_of, masses_at
from recipe_track.figures.results import CENTRE_KEYS, Centre, ConditionFigures, CraftFigures, ModelFigures
from recipe_track.impact.effects import Balance, ConditionImpact, deltas_of, numbers_of
from recipe_track.impact.pairing import ModelSide
from recipe_track.recipe.craft import Hydrostatics, Model
from recipe_track.recipe.quantities import single_numbers

CONDITION_KEYS = tuple(key for key in single_numbers(ConditionFigures) if key != "fill")
MM_PER_CM, MM_PER_M = 10.0, 1000.0
NO_GM = "GM is not above 0 after the change: no heel is told of a craft that does not stand upright"
FREE_SURFACE = (
    "variable masses ({items}) count as solid where they lie: the free surface of tanks among them "
    "lowers the effective GM, and the heel grows accordingly"
)


@dataclass(frozen=True, slots=True)
class Loading:
    """Mass [kg] and its first moments about the origin [kg·m]."""

    mass_kg: float
    moment_kg_m: Centre


def loading(model: Model, figures: ModelFigures, fill: float) -> Loading:
    """Laminate and other masses with the tanks filled so far."""
    masses = [(z.mass_kg, z.centroid_m) for z in figures.zones] + masses_at(model.mass, fill)
    x, y, z = (sum(m * r[axis] for m, r in masses) for axis in range(3))
    return Loading(sum(m for m, _ in masses), (x, y, z))


def balance_of(before: ModelSide, after: ModelSide) -> Balance:
    """Sinkage, trim and heel by the change, in after's target condition, from after's hydrostatics.

    Sinkage Δm/kg_per_cm, positive deeper; trim Σ Δm (x−lcf)/mct over everything aboard, positive bow down;
    heel atan(Δ(m·y)/(m·gm)) with mass and GM after the change, positive to port. GM falls by what the centre
    of gravity rises, KM taken as unchanged; where the change states another GM, by the difference of both.
    Small changes only: the hydrostatics are those of one draught.
    """
    if before.model is None or after.model is None or before.figures is None or after.figures is None:
        return Balance(None, None, None)
    hydrostatics = after.model.hydrostatics or before.model.hydrostatics
    condition, note = after.figures.craft.condition, free_surface_note(after.model)
    if hydrostatics is None:
        return Balance(None, None, None, condition, note)
    fill = dict(conditions_of(after.model))[condition]
    old, new = loading(before.model, before.figures, fill), loading(after.model, after.figures, fill)
    change_m = _gm_change_m(before.model.hydrostatics, after.model.hydrostatics, old, new)
    gm_after_m = _gm_after_m(before.model.hydrostatics, after.model.hydrostatics, change_m)
    notes = (note, None if gm_after_m > 0 else NO_GM)
    return Balance(
        MM_PER_CM * (new.mass_kg - old.mass_kg) / hydrostatics.kg_per_cm,
        MM_PER_CM * _trimming_moment(old, new, hydrostatics.lcf_m) / hydrostatics.mct_kg_m_per_cm,
        _heel_deg(old, new, gm_after_m),
        condition,
        "; ".join(filter(None, notes)) or None,
        None if change_m is None else MM_PER_M * change_m,
    )


def _gm_change_m(
    before: Hydrostatics | None, after: Hydrostatics | None, old: Loading, new: Loading
) -> float | None:
    if before and after and before.gm_m != after.gm_m:
        return after.gm_m - before.gm_m
    if old.mass_kg == 0 or new.mass_kg == 0:
        return None
    return old.moment_kg_m[2] / old.mass_kg - new.moment_kg_m[2] / new.mass_kg


def _gm_after_m(before: Hydrostatics | None, after: Hydrostatics | None, change_m: float | None) -> float:
    """GM after a change; what is stated for the first time, or anew, is that of the craft as it is now."""
    if after and (before is None or before.gm_m != after.gm_m):
        return after.gm_m
    stated = before or after
    assert stated is not None
    return stated.gm_m + (change_m or 0.0)


def _trimming_moment(old: Loading, new: Loading, lcf_m: float) -> float:
    return (new.moment_kg_m[0] - old.moment_kg_m[0]) - lcf_m * (new.mass_kg - old.mass_kg)


def _heel_deg(old: Loading, new: Loading, gm_after_m: float) -> float | None:
    if new.mass_kg == 0 or gm_after_m <= 0:
        return None
    heeling = new.moment_kg_m[1] - old.moment_kg_m[1]
    return math.degrees(math.atan(heeling / (new.mass_kg * gm_after_m)))


def free_surface_note(model: Model) -> str | None:
    """What the figures leave out where there are tanks."""
    items = [mass.item for mass in model.mass if mass.variable]
    return FREE_SURFACE.format(items=", ".join(items)) if items else None


def conditions(before: CraftFigures | None, after: CraftFigures | None) -> tuple[ConditionImpact, ...]:
    """Mass and centre in every condition of either side, after's order first."""
    old, new = _by_name(before), _by_name(after)
    return tuple(
        ConditionImpact(
            name,
            (new.get(name) or old[name]).fill,
            deltas_of(
                CONDITION_KEYS,
                numbers_of(old.get(name)),
                numbers_of(new.get(name)),
                same_currency=True,
            ),
        )
        for name in {**new, **old}
    )


def _by_name(craft: CraftFigures | None) -> Mapping[str, ConditionFigures]:
    return {condition.name: condition for condition in craft.conditions} if craft else {}


def per_kg_saved(craft: CraftFigures | None, place: Centre) -> Mapping[str, float] | None:
    """What one kilogram less at a place does to the craft's centre: (r_cg − r)/m, in its condition [m/kg]."""
    if craft is None or craft.centroid_m is None:
        return None
    moved = ((cg - at) / craft.mass_kg for cg, at in zip(craft.centroid_m, place, strict=True))
    return dict(zip(CENTRE_KEYS, moved, strict=True))
