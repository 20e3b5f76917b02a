"""What a change does, as frozen records: before, after, delta and percent of every figure."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from recipe_track.figures.results import (
    CENTRE_KEYS,
    COST_KEYS,
    Centre,
    ConditionFigures,
    CraftFigures,
    LaminateMatrices,
    Matrix,
    PartFigures,
    ZoneFigures,
)
from recipe_track.impact.rows import LayerView, Mark, Row
from recipe_track.recipe.quantities import Quantity, quantities_of, single_numbers

Numbers = Mapping[str, float | None]


def numbers_of(figures: ZoneFigures | PartFigures | ConditionFigures | CraftFigures | None) -> Numbers:
    """The single numbers of a record by key, the centre of all but zones taken apart; none of None."""
    if figures is None:
        return {}
    centre = centre_numbers(figures.centroid_m)
    keys = single_numbers(type(figures))
    return {key: centre[key] if key in centre else getattr(figures, key) for key in keys}


def centre_numbers(centre: Centre | None) -> Numbers:
    """A centre of gravity as LCG, TCG and VCG."""
    return dict(zip(CENTRE_KEYS, centre or (None, None, None), strict=True))


def same_figures(before: ZoneFigures, after: ZoneFigures) -> bool:
    """Whether no figure of a zone differs by more than rounding; what people wrote of it is not asked."""
    names = quantities_of(ZoneFigures)
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


Status = Literal["added", "removed", "changed", "unchanged"]
Causes = Mapping[str, Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class Delta:
    """A figure before and after; `delta` None unless both exist, `percent` also None where before is 0."""

    before: float | None
    after: float | None
    delta: float | None
    percent: float | None


def delta_of(before: float | None, after: float | None) -> Delta:
    """One figure before and after."""
    if before is None or after is None:
        return Delta(before, after, None, None)
    delta = after - before
    return Delta(before, after, delta, 100 * delta / before if before else None)


Deltas = Mapping[str, Delta]


def deltas_of(keys: tuple[str, ...], before: Numbers, after: Numbers, same_currency: bool) -> Deltas:
    """Every key before and after; costs in two currencies have no delta."""
    deltas = {key: delta_of(before.get(key), after.get(key)) for key in keys}
    if same_currency:
        return deltas
    return {k: Delta(d.before, d.after, None, None) if k in COST_KEYS else d for k, d in deltas.items()}


@dataclass(frozen=True, slots=True)
class LayerEdit:
    """One change of a layup and its share of the `layup` cause, per figure; `row` counts from 0."""

    row: int
    mark: Mark
    before: LayerView | None
    after: LayerView | None
    effects: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class ZoneImpact:
    """What a change does to one zone.

    `causes` holds no key whose figure is missing on a side, and is None where it was not asked for or,
    as `causes_note` says, cannot be told. `per_kg_saved` is what one kilogram less in this zone does to the
    craft's centre [m/kg], None for a zone that is gone.
    """

    zone: str
    before_zone: str | None
    status: Status
    reversed: bool
    layers: tuple[Row, ...]
    figures: Deltas
    causes: Causes | None
    causes_note: str | None
    edits: tuple[LayerEdit, ...] = ()
    edits_note: str | None = None
    per_kg_saved: Mapping[str, float] | None = None


@dataclass(frozen=True, slots=True)
class PartImpact:
    """What a change does to one part."""

    part: str
    figures: Deltas
    causes: Causes | None
    causes_note: str | None = None


@dataclass(frozen=True, slots=True)
class Balance:
    """How the craft floats after the change: deeper, bow down, heeled to port and stiffer are positive."""

    sinkage_mm: Annotated[float | None, Quantity("sinkage", decimals=2)]
    trim_mm: Annotated[float | None, Quantity("trim", decimals=2)]
    heel_deg: Annotated[float | None, Quantity("heel")]
    condition: str | None = None
    note: str | None = None
    gm_change_mm: Annotated[float | None, Quantity("GM", decimals=1)] = None


@dataclass(frozen=True, slots=True)
class ConditionImpact:
    """Mass and centre of the craft in one loading condition."""

    name: str
    fill: float
    figures: Deltas


@dataclass(frozen=True, slots=True)
class CraftImpact:
    """What a change does to the craft."""

    figures: Deltas
    causes: Causes | None
    balance: Balance
    conditions: tuple[ConditionImpact, ...] = ()
    causes_note: str | None = None


@dataclass(frozen=True, slots=True)
class Impact:
    """What a change does to one model; zones and parts by name."""

    model: str
    zones: tuple[ZoneImpact, ...]
    parts: tuple[PartImpact, ...]
    craft: CraftImpact
