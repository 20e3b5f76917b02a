"""What a change does, as JSON and as comma-separated values."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from recipe_track.present.data.csv import Cell, csv_text
from recipe_track.present.data.values import plain_data, revision_json

if TYPE_CHECKING:
    from recipe_track.impact.effects import Deltas, ZoneImpact
    from recipe_track.review.change.comparison import Comparison
    from recipe_track.review.change.reach import ChangeReach
    from recipe_track.review.change.uncertainty import Uncertainty


def compare_json(comparison: Comparison) -> dict[str, Any]:
    """The body of `compare --json`."""
    impact, craft = comparison.impact, comparison.craft
    return {
        "model": comparison.model,
        "before": revision_json(comparison.before.revision),
        "after": revision_json(comparison.after.revision),
        "currency": comparison.currency,
        "reasons": plain_data(comparison.reasons),
        "zones": [_zone_json(zone, comparison) for zone in impact.zones],
        "parts": plain_data(impact.parts),
        "craft": {**plain_data(impact.craft), "targets": plain_data(craft.targets if craft else ())},
        "hulls": {"before": list(comparison.before.hulls), "after": list(comparison.after.hulls)},
        "reach": reach_json(comparison.reach),
    }


def _zone_json(zone: ZoneImpact, comparison: Comparison) -> dict[str, Any]:
    after = comparison.after.zones().get(zone.zone)
    standing: dict[str, Any] = {
        "required": [], "notes": [], "hold": [], "governs": {}, "exceeded": [], "not_checked": [],
        "excitation": [],
    }  # fmt: skip
    if after is not None:
        standing = {key: plain_data(getattr(after, key)) for key in standing}
    uncertainty = comparison.uncertainties.zones.get(zone.zone)
    return {**plain_data(zone), **standing, "spread": _spread_json(uncertainty)}


def _spread_json(uncertainty: Uncertainty | None) -> dict[str, Any] | None:
    if uncertainty is None:
        return None
    return {"deviations": dict(uncertainty.deviations), "drowned": list(uncertainty.insignificant)}


def reach_json(reach: ChangeReach) -> dict[str, Any]:
    """The `reach` of `compare --json`."""
    return {**plain_data(reach), "in_build": plain_data(reach.in_build())}


def compare_csv(comparison: Comparison) -> str:
    """One line a figure of every zone, part and the craft."""
    head = ("level", "id", "before_id", "status", "figure", "before", "after", "delta", "percent")
    return csv_text(head, _compared_rows(comparison))


def _compared_rows(comparison: Comparison) -> Iterator[list[Cell]]:
    impact = comparison.impact
    for zone in impact.zones:
        yield from _delta_rows(("zone", zone.zone, zone.before_zone, zone.status), zone.figures)
    for part in impact.parts:
        yield from _delta_rows(("part", part.part, None, None), part.figures)
    yield from _delta_rows(("craft", impact.model, None, None), impact.craft.figures)


def _delta_rows(of: Sequence[Cell], figures: Deltas) -> Iterator[list[Cell]]:
    for key, delta in figures.items():
        if delta.before is not None or delta.after is not None:
            yield [*of, key, delta.before, delta.after, delta.delta, delta.percent]
