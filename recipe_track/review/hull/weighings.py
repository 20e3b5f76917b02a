"""Weighings held against computed mass: difference, percent, the mean over hulls, apparent fibre fraction."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING

from recipe_track.figures.craft import masses_at
from recipe_track.figures.uncertainty import standard_deviations, summed, zone_effects
from recipe_track.recipe.records import Weighing
from recipe_track.review.hull.as_built import HullSources, PartShown, built_copy
from recipe_track.review.hull.deviated import contents

if TYPE_CHECKING:
    from recipe_track.recipe.hulls import HullPart
    from recipe_track.recipe.ledger import Records
    from recipe_track.recipe.snapshot import Snapshot


def _is_of(snapshot: Snapshot, weighing: Weighing, model: str) -> bool:
    hull = snapshot.hulls.get(weighing.hull)
    return hull is not None and hull.model == model


def net_kg(weighing: Weighing) -> float:
    """What the scales said less the tare."""
    return weighing.mass_kg - (weighing.tare_kg or 0.0)


@dataclass(frozen=True, slots=True)
class Weighed:
    """One weighing; the mean is over the hulls weighed in the same state up to then, this one included.

    `built` is the copy of a part that was weighed, former where another has taken its place.
    """

    id: str
    weighing: Weighing
    net_kg: float
    computed_kg: float | None
    difference_kg: float | None
    percent: float | None
    mean_percent: float | None
    mean_over: tuple[str, ...]
    apparent_fibre_fraction: float | None
    computed_fibre_fraction: float | None
    built: HullPart | None = None
    is_former: bool = False


def weighed(sources: HullSources, number: str) -> tuple[Weighed, ...]:
    """Every weighing of a hull, oldest first."""
    snapshot = sources.snapshot
    records, number = snapshot.records, snapshot.records.number_of(number)
    model = snapshot.hulls[number].model
    listed = [
        (i, w.model_copy(update={"hull": records.hull_of(i)}))
        for i, w in records.of_kind(Weighing)
        if _is_of(snapshot, w, model)
    ]
    parts = parts_weighed(sources, listed)
    computed = {i: computed_mass(snapshot, parts[i], w, model) for i, w in listed}
    percents = {i: _percent(w, computed[i]) for i, w in listed}
    return tuple(
        _weighed(records, i, w, computed[i], parts[i], listed, percents)
        for i, w in listed
        if w.hull == number
    )


def parts_weighed(
    sources: HullSources, listed: Sequence[tuple[str, Weighing]]
) -> Mapping[str, tuple[PartShown, ...]]:
    """What was on the scales at each weighing: the copies of their time, as built, without panels."""
    records = sources.snapshot.records
    asked = {name: tuple(_copies_weighed(sources.snapshot, name, weighing)) for name, weighing in listed}
    shown: dict[str, PartShown] = {}
    for copy in dict.fromkeys(copy for copies in asked.values() for copy in copies):
        hull, part = records.copies[copy]
        model = sources.snapshot.hulls[hull].model
        shown[copy] = built_copy(sources, model, part, with_panels=False)
    return {name: tuple(shown[copy] for copy in copies) for name, copies in asked.items()}


def _copies_weighed(snapshot: Snapshot, name: str, weighing: Weighing) -> Iterator[str]:
    parts = snapshot.hull_parts(weighing.hull) if weighing.part == "craft" else ()
    names = [part.part for part in parts] if weighing.part == "craft" else [weighing.part]
    hull = weighing.hull if weighing.part == "craft" else None
    for part in names:
        copy = snapshot.records.copy_at(hull, part, name) if hull else snapshot.records.copy_of(name)
        if copy in snapshot.records.copies:
            yield str(copy)


def computed_mass(
    snapshot: Snapshot, parts: Sequence[PartShown], weighing: Weighing, model: str
) -> float | None:
    """Computed mass as built of what was weighed; None where a part cannot be read [kg]."""
    if weighing.part != "craft":
        part = _weighed_part(parts, weighing)
        return part.mass_kg if part else None
    tree = snapshot.models.get(model)
    masses = [p.mass_kg for p in parts]
    if tree is None or {p.part.part for p in parts} != set(tree.parts):
        return None
    known = [mass for mass in masses if mass is not None]
    other = sum(mass for mass, _ in masses_at(tree.model.mass, 0.0))
    return sum(known) + other if len(known) == len(masses) else None


def computed_deviation(parts: Sequence[PartShown], weighing: Weighing) -> float:
    """Standard uncertainty of weighed less computed, by the scales and the tolerances of materials [kg]."""
    weighed_parts = [part for part in parts if weighing.part in ("craft", part.part.part)]
    cases = [case for part in weighed_parts for case in part.cases]
    effects = summed(zone_effects(cases)) if cases else {}
    computed = standard_deviations(effects).get("mass_kg") or 0.0
    return hypot(computed, weighing.uncertainty_kg or 0.0)


def _weighed_part(parts: Sequence[PartShown], weighing: Weighing) -> PartShown | None:
    return next((shown for shown in parts if shown.part.part == weighing.part), None)


def _percent(weighing: Weighing, computed: float | None) -> float | None:
    return 100 * (net_kg(weighing) - computed) / computed if computed else None


def _weighed(
    records: Records, weighing_id: str, weighing: Weighing, computed: float | None,
    parts: Sequence[PartShown], listed: Sequence[tuple[str, Weighing]], percents: dict[str, float | None],
) -> Weighed:  # fmt: skip
    net = net_kg(weighing)
    alike = _alike(weighing_id, weighing, listed, percents)
    part = _weighed_part(parts, weighing)
    inside = contents(part.cases) if part and part.cases else None
    return Weighed(
        weighing_id, weighing, net, computed,
        net - computed if computed is not None else None,
        percents[weighing_id],
        sum(alike.values()) / len(alike) if alike else None,
        tuple(sorted(alike)),
        inside.apparent_fibre_fraction(net) if inside else None,
        inside.apparent_fibre_fraction(inside.total_kg) if inside else None,
        part.part if part else None, records.former_copy(weighing_id) is not None,
    )  # fmt: skip


def _alike(
    weighing_id: str, weighing: Weighing, listed: Sequence[tuple[str, Weighing]],
    percents: dict[str, float | None],
) -> dict[str, float]:  # fmt: skip
    """Hull → percent of its last weighing of the same part in the same state, up to this one."""
    percent_of: dict[str, float] = {}
    for other_id, other in listed:
        percent = percents[other_id]
        if (other.part, other.state) == (weighing.part, weighing.state) and percent is not None:
            percent_of[other.hull] = percent
        if other_id == weighing_id:
            break
    return percent_of
