"""One zone on a layup sheet: its steps, what is not as on the hull before, what stands over it."""

from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.layers import HatLayers, hat_of
from recipe_track.impact.align import align
from recipe_track.impact.materials import is_redefined, materials_used
from recipe_track.impact.rows import Row, rows_of
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.identity import names_ever, origins
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Material, mats_of
from recipe_track.recipe.quantities import Counts, counting, unit_of_key, words_of
from recipe_track.recipe.snapshot import ModelTree, Snapshot
from recipe_track.recipe.states import Hold, holds
from recipe_track.review.hull.zones import DeviationShown, deviation_rows
from recipe_track.review.papers.steps import Mix, Step, mixes_of, steps_of


@dataclass(frozen=True, slots=True)
class Difference:
    """Something written of a zone, a part or a material that is not as it was for the hull before."""

    what: str
    unit: str
    before: object
    after: object


def _is_of(current: Snapshot, hold: Hold, model: str) -> bool:
    hull = current.hulls.get(hold.hull)
    return hull is not None and hull.model == model


def _zone_before(case: ZoneCase, tree: ModelTree, before: Snapshot | None) -> Zone | None:
    if before is None:
        return None
    earlier = before.zones_of(tree.id)
    name = origins(earlier, tree.zones).get(case.name)
    return earlier[name] if name else None


def _rows(old: Zone, new: Zone, snapshot: Snapshot, earlier: Snapshot) -> tuple[Row, ...]:
    kinds = {name: m.kind for name, m in (*earlier.materials.items(), *snapshot.materials.items())}
    return rows_of(align(old.layup, new.layup, kinds)).rows


def _redefined(case: ZoneCase, before: Snapshot, counts: Counts) -> dict[str, tuple[Material, Material]]:
    """Materials of a zone whose definition is not as before in keys that count so, by name: both of them."""
    used = sorted(materials_used(case.zone, case.part, case.materials))
    both = {name: (before.materials[name], case.materials[name]) for name in used if name in before.materials}
    return {name: pair for name, pair in both.items() if is_redefined(*pair, (counts,))}


# Of a zone, what is built into it and how it is laid; layers are told step by step, a centre is nowhere laid.
FLOOR_KEYS = tuple(key for key in counting(Zone, "figures", "shop") if key not in ("layup", "centroid_m"))


def differences(
    old: RecipeTable, new: RecipeTable, keys: Iterable[str], of: str = ""
) -> Iterator[Difference]:
    """What is written otherwise, of some keys."""
    for key in keys:
        before, after = getattr(old, key, None), getattr(new, key, None)
        if before != after:
            yield Difference(f"{words_of(type(new), key)}{of}", unit_of_key(key), before, after)


def _bought_otherwise(case: ZoneCase, before: Snapshot) -> Iterator[Difference]:
    """Another supplier or product of a zone's materials: the same quantities, and not the same goods."""
    for name, (old, new) in _redefined(case, before, "purchasing").items():
        yield from differences(old, new, counting(type(new), "purchasing"), f" of {name}")


@dataclass(frozen=True, slots=True)
class SheetZone:
    """One zone: its steps, what is not as on the hull before, what stands over it.

    `rows` hold every layer against the hull before; `is_new` where that hull had no such zone. `corrected`
    are materials whose data changed since, so that quantities differ, `restated` those of which only
    stiffness or strength did. `mats` are fabrics without a direction, `hat` is the section of a stiffener.
    """

    name: str
    zone: Zone
    steps: tuple[Step, ...]
    mixes: tuple[Mix, ...]
    rows: tuple[Row, ...]
    is_new: bool
    differences: tuple[Difference, ...]
    corrected: tuple[str, ...]
    restated: tuple[str, ...]
    holds: tuple[Hold, ...]
    deviations: tuple[DeviationShown, ...]
    mats: frozenset[str]
    hat: HatLayers | None = None


def _deviations(current: Snapshot, hull: str, names: Container[str]) -> Iterator[DeviationShown]:
    """Those of the part that the hull has now, not of one that was scrapped."""
    rows = deviation_rows(current, hull)
    return (row for row in rows if row.deviation.zone in names and row.former is None)


def sheet_zone(
    current: Snapshot, case: ZoneCase, snapshot: Snapshot, tree: ModelTree,
    before: Snapshot | None, hull: str | None,
) -> SheetZone:  # fmt: skip
    """A zone as a hull is to get it, held against the recipe of the hull before."""
    old = _zone_before(case, tree, before)
    names = names_ever(case.name, case.zone, current.zones_of(tree.id))
    corrected = tuple(_redefined(case, before, "figures")) if before else ()
    restated = tuple(_redefined(case, before, "stiffness")) if before else ()
    bought = tuple(_bought_otherwise(case, before)) if before else ()
    return SheetZone(
        case.name, case.zone, steps_of(case), mixes_of([case]),
        _rows(old, case.zone, snapshot, before) if before and old else (),
        before is not None and old is None,
        (*(differences(old, case.zone, FLOOR_KEYS) if old else ()), *bought),
        corrected,
        tuple(name for name in restated if name not in corrected),
        tuple(h for h in holds(current) if h.zone in names and _is_of(current, h, tree.id)),
        tuple(_deviations(current, hull, names)) if hull else (),
        mats_of({**(before.materials if before else {}), **snapshot.materials}), hat_of(case),
    )  # fmt: skip
