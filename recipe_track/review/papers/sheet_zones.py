"""One zone on a layup sheet: its steps, what is not as on the hull before, what stands over it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from recipe_track.figures.cases import ZoneCase
from recipe_track.impact.align import align
from recipe_track.impact.materials import changed_materials, materials_of
from recipe_track.impact.rows import Row, rows_of
from recipe_track.recipe.craft import Part
from recipe_track.recipe.identity import names_ever, origins
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import mats_of
from recipe_track.recipe.snapshot import ModelTree, Snapshot
from recipe_track.recipe.states import Hold, holds
from recipe_track.review.hull.zones import DeviationShown, deviation_rows
from recipe_track.review.papers.steps import Mix, Step, mixes_of, steps_of


@dataclass(frozen=True, slots=True)
class Difference:
    """Something written of a zone or a part that is not as it was for the hull before."""

    what: str
    before: str
    after: str


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


def _corrected(case: ZoneCase, before: Snapshot, after: Snapshot) -> tuple[str, ...]:
    used = materials_of(case.zone, case.part, case.materials)
    return tuple(sorted(used & changed_materials(before, after)))


ZONE_WORDS: Mapping[str, str] = {
    "form": "form",
    "area_m2": "area [m²]",
    "length_m": "length [m]",
    "girth_mm": "girth [mm]",
    "overlap_fraction": "overlaps",
    "extent": "extent",
    "zero_direction": "zero direction",
    "seen_from": "seen from",
    "drawing": "drawing",
    "paste": "paste",
    "kg_per_m": "paste [kg/m]",
}


def differences(old: Zone | Part, new: Zone | Part, words: Mapping[str, str]) -> Iterator[Difference]:
    """What is written otherwise of a zone or a part, of the keys that matter on the floor."""
    for key, said in words.items():
        before, after = getattr(old, key), getattr(new, key)
        if before != after:
            yield Difference(said, _said(before), _said(after))
    former, now = getattr(old, "former", None), getattr(new, "former", None)
    if former != now:
        yield Difference(
            "former", *(f"{f.material} {f.section_mm2:g} mm²" if f else "–" for f in (former, now))
        )


@dataclass(frozen=True, slots=True)
class SheetZone:
    """One zone: its steps, what is not as on the hull before, what stands over it.

    `rows` hold every layer against the hull before; `is_new` where that hull had no such zone. `corrected`
    are materials whose data changed since, so that quantities differ. `mats` are fabrics without a direction.
    """

    name: str
    zone: Zone
    steps: tuple[Step, ...]
    mixes: tuple[Mix, ...]
    rows: tuple[Row, ...]
    is_new: bool
    differences: tuple[Difference, ...]
    corrected: tuple[str, ...]
    holds: tuple[Hold, ...]
    deviations: tuple[DeviationShown, ...]
    mats: frozenset[str]


def sheet_zone(
    current: Snapshot, case: ZoneCase, snapshot: Snapshot, tree: ModelTree,
    before: Snapshot | None, hull: str | None,
) -> SheetZone:  # fmt: skip
    """A zone as a hull is to get it, held against the recipe of the hull before."""
    old = _zone_before(case, tree, before)
    names = names_ever(case.name, case.zone, current.zones_of(tree.id))
    corrected = _corrected(case, before, snapshot) if before else ()
    return SheetZone(
        case.name, case.zone, steps_of(case), mixes_of([case]),
        _rows(old, case.zone, snapshot, before) if before and old else (),
        before is not None and old is None,
        tuple(differences(old, case.zone, ZONE_WORDS)) if old else (),
        corrected,
        tuple(h for h in holds(current) if h.zone in names and _is_of(current, h, tree.id)),
        tuple(d for d in deviation_rows(current, hull) if d.deviation.zone in names) if hull else (),
        mats_of({**(before.materials if before else {}), **snapshot.materials}),
    )  # fmt: skip


def _said(value: object) -> str:
    if value is None:
        return "–"
    return f"{value:g}" if isinstance(value, float) else str(value)
