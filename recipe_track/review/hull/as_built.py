"""The as-built record of a hull: what its parts were built to, what deviates, what it weighs and lacks."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.recipe.craft import Hull, HullPart
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.records import Change, Deviation, HullActionKind
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import Hold, deviation_state, holds
from recipe_track.review.choosing import hull_named
from recipe_track.review.hull.deviated import BuiltZone, built_zones
from recipe_track.review.hull.effectivity import Effectivity, hull_actions
from recipe_track.review.hull.overview import TrialRow, trial_rows
from recipe_track.review.hull.zones import DeviationShown, part_snapshot
from recipe_track.review.past.changes_on_main import ChangeOnMain, changes_on_main
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
    label: str | None
    action: HullActionKind | None


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
    parts: tuple[PartShown, ...]
    observations: tuple[TrialRow, ...]
    holds: tuple[Hold, ...]
    lacking: tuple[Lacking, ...]


def hull_record(ws: Workspace, snapshot: Snapshot, number: str) -> HullRecord:
    """The as-built record of a hull."""
    hull = hull_named(snapshot, number)
    return HullRecord(
        number, hull, built_parts(ws, snapshot, number),
        trial_rows(snapshot, hull=number),
        tuple(hold for hold in holds(snapshot) if hold.hull == number),
        tuple(_lacking(ws, snapshot, number, hull)),
    )  # fmt: skip


def built_parts(
    ws: Workspace, snapshot: Snapshot, number: str, with_panels: bool = True
) -> tuple[PartShown, ...]:
    """The parts of a hull with their zones as built; without panels where only masses are asked for."""
    hull = snapshot.hulls[number]
    deviations = _deviations(snapshot, number)
    held = [hold for hold in holds(snapshot) if hold.hull == number]
    return tuple(_part(ws, hull, part, deviations, held, with_panels) for part in hull.part)


def _deviations(snapshot: Snapshot, number: str) -> dict[str, list[DeviationShown]]:
    by_zone: dict[str, list[DeviationShown]] = {}
    for record_id, deviation in snapshot.records.on_hull(Deviation, number):
        state = deviation_state(snapshot.records, record_id)
        by_zone.setdefault(deviation.zone, []).append(DeviationShown(record_id, deviation, state))
    return by_zone


def _part(
    ws: Workspace, hull: Hull, part: HullPart, deviations: Mapping[str, Sequence[DeviationShown]],
    held: Sequence[Hold], with_panels: bool,
) -> PartShown:  # fmt: skip
    tag = next((r.commit for r in ws.labels(hull.model).releases if r.label == part.revision), None)
    snapshot = part_snapshot(ws, hull.model, part)
    tree = snapshot.models.get(hull.model) if snapshot else None
    if snapshot is None or tree is None or part.part not in tree.parts:
        return PartShown(part, tag, None, ())
    cases = tuple(c for c in zone_cases(snapshot, tree) if part_of(c.name) == part.part)
    if not with_panels:
        cases = tuple(replace(c, zone=c.zone.model_copy(update={"panel": None})) for c in cases)
    present = {name: [d.deviation for d in shown if _is_present(d)] for name, shown in deviations.items()}
    built = built_zones(cases, present)
    zones = [
        ZoneShown(
            case.name, case.zone, built[case.name], tuple(deviations.get(case.name, ())),
            tuple(hold for hold in held if hold.zone == case.name),
        )
        for case in cases
    ]  # fmt: skip
    return PartShown(part, tag, tuple(zones), cases)


def _is_present(shown: DeviationShown) -> bool:
    """A nonconformity is there until it is refused and put right; a permit is used once it is given."""
    if shown.deviation.type == "nonconformity":
        return shown.state != "refused"
    return shown.state == "accepted"


def _lacking(ws: Workspace, snapshot: Snapshot, number: str, hull: Hull) -> Iterator[Lacking]:
    approved = snapshot.records.approved_changes
    effectivity = Effectivity(ws, snapshot)
    for change_id, landed in changes_on_main(ws.repo, ws.commits).items():
        change = approved.get(change_id)
        if change is None or change.model != hull.model:
            continue
        for part in hull.part:
            if effectivity.touches(landed, hull.model, part) and not effectivity.contains(
                part.commit, landed.commit.id
            ):
                yield _lack(ws, snapshot, number, hull, part, change_id, change, landed)


def _lack(
    ws: Workspace, snapshot: Snapshot, number: str, hull: Hull, part: HullPart, change_id: str,
    change: Change, landed: ChangeOnMain,
) -> Lacking:  # fmt: skip
    action = hull_actions(snapshot, change_id).get((number, part.part))
    label = ws.labels(hull.model).of(landed.commit.id)
    return Lacking(change_id, change.title, change.reason, part.part, label, action)
