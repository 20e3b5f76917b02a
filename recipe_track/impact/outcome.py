"""What a change does: one frozen record per zone, part and craft; field names are the keys of `compare`."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from recipe_track.impact.rows import LayerView, Mark, Row

Status = Literal["added", "removed", "changed", "unchanged"]
Causes = Mapping[str, Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class Delta:
    """A figure before and after; `delta` None unless both exist, `percent` also None where before is 0."""

    before: float | None
    after: float | None
    delta: float | None
    percent: float | None


Deltas = Mapping[str, Delta]


@dataclass(frozen=True, slots=True)
class Edit:
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
    edits: tuple[Edit, ...] = ()
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
    """How the craft floats after the change: deeper, bow down and heeled to port are positive."""

    sinkage_mm: float | None
    trim_mm: float | None
    heel_deg: float | None
    condition: str | None = None
    note: str | None = None


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
