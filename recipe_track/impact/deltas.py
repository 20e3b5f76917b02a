"""Before, after, delta and percent of every figure that is a single number."""

import math
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from recipe_track.figures.craft import Centre, ConditionFigures, CraftFigures, PartFigures
from recipe_track.figures.zone import LaminateMatrices, Matrix, ZoneFigures
from recipe_track.impact.outcome import Delta, Deltas

Numbers = Mapping[str, float | None]

COST_KEYS = frozenset({"material_cost", "labour_cost", "process_cost", "cost"})
CENTRE_KEYS = ("lcg_m", "tcg_m", "vcg_m")
NOT_FIGURES = frozenset({"zone", "name", "hold", "notes", "required", "governs", "not_checked", "laminate"})


def _number_keys(record: type) -> tuple[str, ...]:
    return tuple(f.name for f in fields(record) if f.type in (float, float | None))


ZONE_KEYS = _number_keys(ZoneFigures)
PART_KEYS = (*_number_keys(PartFigures), *CENTRE_KEYS)
CRAFT_KEYS = (*_number_keys(CraftFigures), *CENTRE_KEYS)


def zone_numbers(figures: ZoneFigures | None) -> Numbers:
    """The single numbers of a zone by key; none of a zone that does not exist."""
    return {} if figures is None else {key: getattr(figures, key) for key in ZONE_KEYS}


def part_numbers(figures: PartFigures | None) -> Numbers:
    """The single numbers of a part by key, its centre taken apart; none of a part that does not exist."""
    return {} if figures is None else {**_own(figures, PART_KEYS), **centre_numbers(figures.centroid_m)}


def craft_numbers(figures: CraftFigures | None) -> Numbers:
    """The single numbers of the craft by key, its centre taken apart; none of one that does not exist."""
    return {} if figures is None else {**_own(figures, CRAFT_KEYS), **centre_numbers(figures.centroid_m)}


def condition_numbers(figures: ConditionFigures | None) -> Numbers:
    """Mass and centre in a loading condition; none in one that does not exist."""
    return {} if figures is None else {"mass_kg": figures.mass_kg, **centre_numbers(figures.centroid_m)}


def _own(figures: object, keys: tuple[str, ...]) -> Numbers:
    return {key: getattr(figures, key) for key in keys if key not in CENTRE_KEYS}


def centre_numbers(centre: Centre | None) -> Numbers:
    """A centre of gravity as LCG, TCG and VCG."""
    return dict(zip(CENTRE_KEYS, centre or (None, None, None), strict=True))


def delta_of(before: float | None, after: float | None) -> Delta:
    """One figure before and after."""
    if before is None or after is None:
        return Delta(before, after, None, None)
    delta = after - before
    return Delta(before, after, delta, 100 * delta / before if before else None)


def deltas_of(keys: tuple[str, ...], before: Numbers, after: Numbers, same_currency: bool) -> Deltas:
    """Every key before and after; costs in two currencies have no delta."""
    deltas = {key: delta_of(before.get(key), after.get(key)) for key in keys}
    if same_currency:
        return deltas
    return {k: Delta(d.before, d.after, None, None) if k in COST_KEYS else d for k, d in deltas.items()}


def same_figures(before: ZoneFigures, after: ZoneFigures) -> bool:
    """Whether no figure of a zone differs by more than rounding; what people wrote of it is not asked."""
    names = (f.name for f in fields(ZoneFigures) if f.name not in NOT_FIGURES)
    return all(_same(getattr(before, name), getattr(after, name)) for name in names) and _same_laminate(
        before.laminate, after.laminate
    )


def _same_laminate(before: LaminateMatrices | None, after: LaminateMatrices | None) -> bool:
    """A, B, D within rounding; B against its natural scale √(A·D), for it may be all but zero."""
    if before is None or after is None:
        return before is after
    a, d = _greatest(before.a_n_per_mm), _greatest(before.d_n_mm)
    scales = (("a_n_per_mm", a), ("b_n", math.sqrt(a * d)), ("d_n_mm", d))
    return all(_near(getattr(before, key), getattr(after, key), 1e-9 * scale) for key, scale in scales)


def _greatest(matrix: Matrix) -> float:
    return max(abs(value) for row in matrix for value in row)


def _near(before: Matrix, after: Matrix, within: float) -> bool:
    pairs = zip((v for row in before for v in row), (v for row in after for v in row), strict=True)
    return all(abs(old - new) <= within for old, new in pairs)


def _same(before: Any, after: Any) -> bool:
    if isinstance(before, float) and isinstance(after, float):
        return math.isclose(before, after, rel_tol=1e-9, abs_tol=0.0)
    if isinstance(before, tuple) and isinstance(after, tuple) and len(before) == len(after):
        return all(map(_same, before, after))
    if isinstance(before, Mapping) and isinstance(after, Mapping) and before.keys() == after.keys():
        return all(_same(before[key], after[key]) for key in before)
    return bool(before == after)
