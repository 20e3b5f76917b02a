"""The as-built record of a hull: what its parts were built to, what deviates, what it weighs and lacks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from recipe_track.figures.craft import zone_cases
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.records import Deviation, HullActionKind, Step
from recipe_track.recipe.states import Hold, holds_on_hull
from recipe_track.review.change.minima import Concern
from recipe_track.review.choosing import hull_named
from recipe_track.review.hull.deviated import BuiltZone, broken_by, built_zones
from recipe_track.review.hull.effectivity import Effectivity, effectivity_of, hull_actions, lacking_changes
from recipe_track.review.hull.overview import TrialRow, trial_rows
from recipe_track.review.hull.zones import DeviationShown, deviation_rows, deviation_shown, part_tree

if TYPE_CHECKING:
    from recipe_track.figures.cases import ZoneCase
    from recipe_track.history.revisions import Labels
    from recipe_track.recipe.craft import Hull
    from recipe_track.recipe.hulls import HullPart, HullState
    from recipe_track.recipe.layup import Zone
    from recipe_track.recipe.snapshot import Snapshot
    from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class ZoneShown:
    """One zone of a hull as released and as built."""

    name: str
    zone: Zone
    built: BuiltZone
    deviations: tuple[DeviationShown, ...]
    holds: tuple[Hold, ...]


@dataclass(frozen=True, slots=True)
class Lacking:
    """A later change that a part of a hull does not have, and what was decided for the hull."""

    change: str
    title: str
    reason: str
    part: str
    state: str
    label: str | None
    action: HullActionKind | None


@dataclass(frozen=True, slots=True)
class StepShown:
    """One step of a part, or with no part of the whole hull."""

    id: str
    step: Step
    part: str | None


@dataclass(frozen=True, slots=True)
class PartShown:
    """One part: the release it was started to, and the zones it was built with; None where unreadable."""

    part: HullPart
    tag_commit: str | None
    zones: tuple[ZoneShown, ...] | None
    cases: tuple[ZoneCase, ...]

    @property
    def mass_kg(self) -> float | None:
        """Computed mass as built."""
        return sum(z.built.mass_kg for z in self.zones) if self.zones is not None else None


@dataclass(frozen=True, slots=True)
class HullRecord:
    """Everything known of one hull."""

    number: str
    hull: Hull
    state: HullState
    parts: tuple[PartShown, ...]
    steps: tuple[StepShown, ...]
    deviations: tuple[DeviationShown, ...]
    observations: tuple[TrialRow, ...]
    holds: tuple[Hold, ...]
    lacking: tuple[Lacking, ...]


@dataclass(frozen=True, slots=True)
class HullSources:
    """All that hull views are made of, as values: after this nobody asks git anything."""

    snapshot: Snapshot
    labels: Mapping[str, Labels]
    fleet: Effectivity


def fetch_hulls(ws: Workspace, snapshot: Snapshot) -> HullSources:
    """Every hull's releases, what is in them, and where each change arrived on main."""
    models = sorted({hull.model for hull in snapshot.hulls.values()})
    return HullSources(snapshot, {model: ws.labels(model) for model in models}, effectivity_of(ws, snapshot))


def hull_record(sources: HullSources, number: str) -> HullRecord:
    """The as-built record of a hull, by any number it has or had."""
    snapshot = sources.snapshot
    hull_named(snapshot, number)
    number = snapshot.records.number_of(number)
    hull = hull_named(snapshot, number)
    return HullRecord(
        number, hull, snapshot.hull_state(number), built_parts(sources, number),
        tuple(_steps(snapshot, number)), deviation_rows(snapshot, number), trial_rows(snapshot, hull=number),
        holds_on_hull(snapshot, number), tuple(_lacking(sources, number, hull)),
    )  # fmt: skip


def _steps(snapshot: Snapshot, number: str) -> Iterator[StepShown]:
    """The steps of the whole hull, then of each part, in the order in which they came."""
    for part in (None, *(part.part for part in snapshot.hull_parts(number))):
        for name, step in snapshot.records.steps_of(number, part):
            yield StepShown(name, step, part)


def built_parts(sources: HullSources, number: str, with_panels: bool = True) -> tuple[PartShown, ...]:
    """The parts of a hull with their zones as built; without panels where only masses are asked for."""
    snapshot = sources.snapshot
    model, held = snapshot.hulls[number].model, holds_on_hull(snapshot, number)
    return tuple(built_copy(sources, model, part, held, with_panels) for part in snapshot.hull_parts(number))


def _deviations(snapshot: Snapshot, part: HullPart) -> dict[str, list[DeviationShown]]:
    by_zone: dict[str, list[DeviationShown]] = {}
    for record_id, deviation in snapshot.records.on_copy(Deviation, part.began):
        shown = deviation_shown(snapshot.records, record_id, deviation)
        by_zone.setdefault(deviation.zone, []).append(shown)
    return by_zone


def built_copy(
    sources: HullSources, model: str, part: HullPart, held: Sequence[Hold] = (), with_panels: bool = True
) -> PartShown:
    """One copy of a part with its zones as built, and the deviations that are of this very copy."""
    deviations = _deviations(sources.snapshot, part)
    tag = next((r.commit for r in sources.labels[model].releases if r.label == part.revision), None)
    if part_tree(sources.fleet.recipes, model, part) is None:
        return PartShown(part, tag, None, ())
    recipe = sources.fleet.recipes[part.commit]
    cases = tuple(c for c in zone_cases(recipe, recipe.models[model]) if part_of(c.name) == part.part)
    if not with_panels:
        cases = tuple(replace(c, zone=c.zone.model_copy(update={"panel": None})) for c in cases)
    standing = {name: [d.deviation for d in found if _stands(d)] for name, found in deviations.items()}
    built = built_zones(cases, standing)
    zones = [
        ZoneShown(
            case.name, case.zone, built[case.name], tuple(deviations.get(case.name, ())),
            tuple(hold for hold in held if hold.zone == case.name),
        )
        for case in cases
    ]  # fmt: skip
    return PartShown(part, tag, tuple(zones), cases)


def broken_by_concession(
    sources: HullSources, deviation_id: str, deviation: Deviation
) -> tuple[Concern, ...]:
    """What accepting a deviation would break in its zone, beside what stands there already."""
    parts = built_parts(sources, sources.snapshot.records.number_of(deviation.hull))
    for part in parts:
        for shown, case in zip(part.zones or (), part.cases, strict=True):
            if shown.name == deviation.zone:
                others = [d.deviation for d in shown.deviations if _stands(d) and d.id != deviation_id]
                before, after = broken_by(case, others), broken_by(case, [*others, deviation])
                broken = {key: text for key, text in after.items() if key not in before}
                return tuple(Concern("broken", shown.name, key, text) for key, text in broken.items())
    return ()


def _stands(shown: DeviationShown) -> bool:
    """A nonconformity is there until it is refused and put right; a permit is used once it is given."""
    if shown.deviation.type == "nonconformity":
        return shown.state != "refused"
    return shown.state == "accepted"


def _lacking(sources: HullSources, number: str, hull: Hull) -> Iterator[Lacking]:
    snapshot, fleet, labels = sources.snapshot, sources.fleet, sources.labels[hull.model]
    for part in snapshot.hull_parts(number):
        if part.state == "scrapped":
            continue
        for change_id in lacking_changes(fleet, snapshot, hull.model, part):
            change = snapshot.records.approved_changes[change_id]
            action = hull_actions(snapshot, change_id).get((number, part.part))
            label = labels.of(fleet.landed[change_id].last.id)
            yield Lacking(change_id, change.title, change.reason, part.part, part.state, label, action)
