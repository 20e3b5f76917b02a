"""Two revisions of a model side by side: what the change does to every zone, part and the craft."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from recipe_track.figures.results import CRAFT_KEYS, PART_KEYS, ZONE_KEYS, ModelFigures, ZoneFigures
from recipe_track.impact.align import Kinds, align, is_upside_down
from recipe_track.impact.balance import balance_of, conditions, per_kg_saved
from recipe_track.impact.causes import PartSides, ZoneShare, craft_causes, edits_of, part_causes, zone_causes
from recipe_track.impact.combinations import ZoneCombinations, ZoneSides, evaluate, libraries, same_currency
from recipe_track.impact.effects import (
    Causes,
    CraftImpact,
    Deltas,
    Impact,
    PartImpact,
    Status,
    ZoneImpact,
    deltas_of,
    numbers_of,
    same_figures,
)
from recipe_track.impact.pairing import ModelSide, model_side
from recipe_track.impact.rows import Rows, rows_of
from recipe_track.progress import steps
from recipe_track.recipe.identity import NO_RENAMES, ZonePair, pair_zones
from recipe_track.recipe.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class ModelComparison:
    """Both sides of a model and what is asked of them."""

    before: ModelSide
    after: ModelSide
    kinds: Kinds
    same_currency: bool
    with_causes: bool
    with_edits: bool


def compare_models(
    before: Snapshot,
    after: Snapshot,
    model: str,
    figures_before: ModelFigures | None,
    figures_after: ModelFigures | None,
    renames: Mapping[str, str] = NO_RENAMES,
    with_causes: bool = True,
    with_edits: bool = True,
) -> Impact:
    """What the change from before to after does to a model.

    The figures of a side on which the model does not exist are None. `renames` maps names of zones after to
    names before, for zones that neither name nor `formerly` pairs. Edits are told only with causes.
    """
    library_before, library_after = libraries(before, after)
    comparison = ModelComparison(
        model_side(before.models.get(model), figures_before, library_before),
        model_side(after.models.get(model), figures_after, library_after),
        {name: m.kind for name, m in (*before.materials.items(), *after.materials.items())},
        same_currency(before.prices, after.prices),
        with_causes,
        with_causes and with_edits,
    )
    zones = zone_impacts(comparison, renames)
    shares = [_share(comparison, zone) for zone in zones]
    parts = part_sides(comparison)
    return Impact(
        model,
        zones,
        tuple(_part_impact(comparison, part, shares) for part in parts),
        _craft_impact(comparison, parts, shares),
    )


def zone_impacts(comparison: ModelComparison, renames: Mapping[str, str]) -> tuple[ZoneImpact, ...]:
    """What the change does to every zone of either side, by name; all combinations computed in one pass."""
    pairs = pair_zones(comparison.before.zones, comparison.after.zones, renames)
    both = {
        pair: _combined(comparison, pair.before, pair.after) for pair in pairs if pair.before and pair.after
    }
    if comparison.with_causes:
        evaluate(list(both.values()), comparison.with_edits)
    return tuple(
        _zone_in_both(comparison, pair, both[pair]) if pair in both else _zone_in_one(comparison, pair)
        for pair in steps("comparing zones:", pairs, len(pairs))
    )


def _combined(comparison: ModelComparison, before: str, after: str) -> ZoneCombinations:
    old, new = comparison.before.zone_side(before), comparison.after.zone_side(after)
    alignment = align(old.zone.layup, new.zone.layup, comparison.kinds)
    ends = (comparison.before.zone_figures[before], comparison.after.zone_figures[after])
    return ZoneCombinations(ZoneSides(old, new), alignment, rows_of(alignment), ends)


def _zone_in_both(comparison: ModelComparison, pair: ZonePair, combined: ZoneCombinations) -> ZoneImpact:
    causes, causes_note = zone_causes(combined) if comparison.with_causes else (None, None)
    edits, edits_note = edits_of(combined) if comparison.with_edits and causes is not None else ((), None)
    return ZoneImpact(
        zone=pair.name,
        before_zone=pair.before,
        status=_status(combined),
        reversed=is_upside_down(combined.alignment.before, combined.alignment.after),
        layers=combined.rows.rows,
        figures=_zone_deltas(comparison, *combined.ends),
        causes=causes,
        causes_note=causes_note,
        edits=edits,
        edits_note=edits_note,
        per_kg_saved=per_kg_saved(comparison.after.craft, combined.ends[1].centroid_m),
    )


def _status(combined: ZoneCombinations) -> Status:
    same_values = combined.sides.before.zone == combined.sides.after.zone
    return "unchanged" if same_values and same_figures(*combined.ends) else "changed"


def _zone_in_one(comparison: ModelComparison, pair: ZonePair) -> ZoneImpact:
    old = comparison.before.zone_figures.get(pair.before) if pair.before else None
    new = comparison.after.zone_figures.get(pair.after) if pair.after else None
    return ZoneImpact(
        zone=pair.name,
        before_zone=pair.before,
        status="added" if new else "removed",
        reversed=False,
        layers=_rows_in_one(comparison, pair).rows,
        figures=_zone_deltas(comparison, old, new),
        causes={} if comparison.with_causes else None,
        causes_note=None,
        per_kg_saved=per_kg_saved(comparison.after.craft, new.centroid_m) if new else None,
    )


def _rows_in_one(comparison: ModelComparison, pair: ZonePair) -> Rows:
    old = comparison.before.zones[pair.before].layup if pair.before else ()
    new = comparison.after.zones[pair.after].layup if pair.after else ()
    return rows_of(align(old, new, comparison.kinds))


def _zone_deltas(comparison: ModelComparison, old: ZoneFigures | None, new: ZoneFigures | None) -> Deltas:
    return deltas_of(
        ZONE_KEYS,
        numbers_of(old),
        numbers_of(new),
        comparison.same_currency,
    )


def _share(comparison: ModelComparison, zone: ZoneImpact) -> ZoneShare:
    after = None if zone.status == "removed" else zone.zone
    return ZoneShare(
        ZonePair(zone.before_zone, after),
        comparison.before.zone_figures.get(zone.before_zone or ""),
        comparison.after.zone_figures.get(after or ""),
        zone.causes,
        zone.causes_note,
    )


def part_sides(comparison: ModelComparison) -> tuple[PartSides, ...]:
    """Every part of either side, by name."""
    old, new = comparison.before, comparison.after
    return tuple(
        PartSides(
            name,
            (old.parts.get(name), new.parts.get(name)),
            (old.part_figures.get(name), new.part_figures.get(name)),
            (old.library, new.library),
        )
        for name in sorted({*old.parts, *new.parts})
    )


def _part_impact(comparison: ModelComparison, part: PartSides, zones: Sequence[ZoneShare]) -> PartImpact:
    old, new = part.figures
    causes, note = part_causes(part, zones) if comparison.with_causes else (None, None)
    figures = deltas_of(
        PART_KEYS,
        numbers_of(old),
        numbers_of(new),
        comparison.same_currency,
    )
    return PartImpact(part.id, figures, causes, note)


def _craft_impact(
    comparison: ModelComparison, parts: Sequence[PartSides], zones: Sequence[ZoneShare]
) -> CraftImpact:
    old, new = comparison.before, comparison.after
    causes, note = _craft_causes(comparison, parts, zones)
    figures = deltas_of(
        CRAFT_KEYS,
        numbers_of(old.craft),
        numbers_of(new.craft),
        comparison.same_currency,
    )
    return CraftImpact(figures, causes, balance_of(old, new), conditions(old.craft, new.craft), note)


def _craft_causes(
    comparison: ModelComparison, parts: Sequence[PartSides], zones: Sequence[ZoneShare]
) -> tuple[Causes | None, str | None]:
    old, new = comparison.before, comparison.after
    if not comparison.with_causes:
        return None, None
    if old.craft is None or new.craft is None:
        return {}, None
    return craft_causes((old.other_masses_kg, new.other_masses_kg), parts, zones)
