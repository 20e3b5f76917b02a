"""What a change is expected to do: deltas of the figures, as they are written into its record."""

from typing import Any

from recipe_track.figures.results import FIGURES, SUMMED_KEYS, ModelFigures, ZoneFigures
from recipe_track.impact.effects import numbers_of
from recipe_track.recipe.identity import pair_zones
from recipe_track.recipe.quantities import quantities_of
from recipe_track.recipe.records import Expected, ExpectedZone
from recipe_track.recipe.snapshot import Snapshot

EXPECTED_ZONE = tuple(quantities_of(ExpectedZone))
EXPECTED_CRAFT = tuple(quantities_of(Expected))


def expected_of(before: Snapshot, after: Snapshot, model: str) -> Expected:
    """Deltas of the craft and of every zone that changes, rounded as they are written down."""
    old, new = _figures(before, model), _figures(after, model)
    zones = {z.zone: z for z in new.zones} if new else {}
    earlier = {z.zone: z for z in old.zones} if old else {}
    pairs = pair_zones(before.zones_of(model), after.zones_of(model))
    rows = {p.name: _zone(earlier.get(p.before or ""), zones.get(p.after or "")) for p in pairs}
    written = {name: ExpectedZone.model_validate(row) for name, row in sorted(rows.items()) if row}
    currencies = {f.currency for f in (old, new) if f}
    craft = _craft(old, new)
    if len(currencies) > 1:
        craft.pop("cost", None)
    return Expected(**craft, zones=written)


def _figures(snapshot: Snapshot, model: str) -> ModelFigures | None:
    from recipe_track.figures.craft import figures_of  # numpy, which no list of changes asks for

    return figures_of(snapshot, model) if model in snapshot.models else None


def _craft(old: ModelFigures | None, new: ModelFigures | None) -> dict[str, Any]:
    before, after = (numbers_of(figures.craft if figures else None) for figures in (old, new))
    return {
        key: d for key in EXPECTED_CRAFT if (d := _delta(key, before.get(key), after.get(key))) is not None
    }


def _zone(old: ZoneFigures | None, new: ZoneFigures | None) -> dict[str, float]:
    """Deltas that are not zero; a zone that comes or goes counts with its mass and cost."""
    keys = EXPECTED_ZONE if old and new else SUMMED_KEYS
    row: dict[str, float] = {}
    for key in keys:
        before = getattr(old, key) if old else 0.0
        after = getattr(new, key) if new else 0.0
        delta = _delta(key, before, after)
        if delta:
            row[key] = delta
    return row


def _delta(key: str, before: float | None, after: float | None) -> float | None:
    if before is None or after is None:
        return None
    return round(after - before, FIGURES[key].written_decimals) + 0.0


def departures(then: Expected, now: Expected) -> tuple[str, ...]:
    """Where today's figures differ from those expected when proposed, more than rounding explains."""
    rows = [("craft", key, getattr(then, key), getattr(now, key)) for key in EXPECTED_CRAFT]
    for name in sorted({*then.zones, *now.zones}):
        old, new = then.zones.get(name, ExpectedZone()), now.zones.get(name, ExpectedZone())
        rows += [(name, key, getattr(old, key), getattr(new, key)) for key in EXPECTED_ZONE]
    return tuple(
        f"{name} {key}: expected {_said(a)}, now {_said(b)}" for name, key, a, b in rows if _differ(key, a, b)
    )


def _differ(key: str, then: float | None, now: float | None) -> bool:
    if then is None:  # nothing was expected of this figure
        return False
    tolerance = 3.0 * FIGURES[key].noise + 1e-3 * abs(then)
    return abs(then - (now or 0.0)) > tolerance


def _said(value: float | None) -> str:
    return "nothing" if value is None else f"{value:+g}"
