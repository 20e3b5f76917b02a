"""How far a change reaches: hulls with and without it, what stands open where it touches, who else is met."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

from recipe_track.figures.results import COST_KEYS
from recipe_track.impact.effects import Impact, ZoneImpact
from recipe_track.impact.materials import (
    MaterialReach,
    changed_materials,
    changed_prices,
    material_reach,
    touched_zones,
)
from recipe_track.recipe.hulls import OPEN, HullPart
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.records import Deviation, Trial
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.states import Hold, holds, open_trials, trial_state
from recipe_track.review.hull.effectivity import contains
from recipe_track.review.hull.zones import zones_now
from recipe_track.review.past.changes_on_main import ChangeOnMain, changes_on_main
from recipe_track.workspace import Revision, Workspace

BuiltSide = Literal["before", "between", "after"]


@dataclass(frozen=True, slots=True)
class ReachedPart:
    """A part of a hull that the change lays otherwise, and on which side of the change it is.

    That is by its release, and by `done`, the changes carried out on it since.
    """

    hull: str
    status: str
    part: str
    revision: str
    state: str
    side: BuiltSide
    done: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OpenObservation:
    """An observation in a touched zone that no approved change and no decision answers."""

    trial: str
    hull: str
    zone: str
    observation: str
    severity: int
    state: str
    on: str
    text: str


@dataclass(frozen=True, slots=True)
class ChangeReach:
    """Hulls, open matters and other users of changed materials and prices, as main stands at `as_of`."""

    as_of: Revision | None
    parts: tuple[str, ...]
    hulls: tuple[ReachedPart, ...]
    observations: tuple[OpenObservation, ...]
    holds: tuple[Hold, ...]
    materials: tuple[MaterialReach, ...]
    prices: tuple[str, ...]

    def in_build(self) -> tuple[ReachedPart, ...]:
        """The parts of hulls that are in build now."""
        return tuple(part for part in self.hulls if part.status == "in-build")


def sides_of_parts(
    ws: Workspace, current: Snapshot, model: str, ends: tuple[Revision, Revision]
) -> Mapping[tuple[str, str], BuiltSide]:
    """On which side of a change each part of each hull is, by hull and part; scrap is on none."""
    is_in = partial(contains, ws)
    parts = [(n, part) for n in current.numbers(model) for part in current.hull_parts(n)]
    landed = _landed_between(ws, ends, is_in) if any(part.done for _, part in parts) else ()
    return {
        (number, part.part): _side(is_in, ends, part, _share(model, part, landed))
        for number, part in parts
        if part.is_started or part.state in OPEN
    }


def _landed_between(
    ws: Workspace, ends: tuple[Revision, Revision], is_in: Callable[[str, str], bool]
) -> tuple[ChangeOnMain, ...]:
    """The changes that one of two revisions of main holds and the other does not."""
    early, late, _ = _in_order(is_in, ends)
    if early is None or late is None:
        return ()
    between = ws.trail.behind(late) - ws.trail.behind(early)
    return tuple(one for one in changes_on_main(ws).values() if one.copies & between)


def _share(model: str, part: HullPart, landed: Sequence[ChangeOnMain]) -> BuiltSide | None:
    """How much of what landed on a part was carried out on it; None where none was."""
    folder = f"models/{model}/{part.part}/"
    own = {one.change for one in landed if any(path.startswith(folder) for path in one.paths)}
    done = own & set(part.done)
    return None if not done else "after" if done == own else "between"


def reach_of(
    model: str,
    current: Snapshot,
    as_of: Revision | None,
    built: Mapping[tuple[str, str], BuiltSide],
    sides: tuple[Snapshot, Snapshot],
    impact: Impact,
) -> ChangeReach:
    """The reach of the change between two revisions, by the hulls and records on main today."""
    parts = laid_otherwise(impact)
    zones = touched_zones(impact)
    return ChangeReach(
        as_of,
        tuple(sorted(parts)),
        tuple(_reached(current, parts, built)),
        tuple(_open(current, model, zones)),
        tuple(hold for hold in holds(current) if _concerns(current, hold.record, model, zones)),
        material_reach(sides[1], changed_materials(*sides)),
        tuple(sorted(changed_prices(*sides))),
    )


def laid_otherwise(impact: Impact) -> frozenset[str]:
    """Parts with a zone that is laid otherwise after the change; a price alone lays nothing otherwise."""
    zones = [zone for zone in impact.zones if _laid_otherwise(zone)]
    return frozenset(part_of(name) for z in zones for name in (z.zone, z.before_zone) if name)


def _laid_otherwise(zone: ZoneImpact) -> bool:
    if zone.status in ("added", "removed"):
        return True
    weighed = (d.delta for key, d in zone.figures.items() if key not in COST_KEYS)
    return any(row.mark != "kept" for row in zone.layers) or any(
        abs(delta or 0.0) > 1e-9 for delta in weighed
    )


def _reached(
    current: Snapshot, parts: frozenset[str], built: Mapping[tuple[str, str], BuiltSide]
) -> Iterator[ReachedPart]:
    for (number, name), side in built.items():
        state = current.hull_state(number)
        part = state.part(name)
        if part is not None and name in parts:
            yield ReachedPart(number, state.state, name, part.revision, part.state, side, part.done)


def _in_order(
    is_in: Callable[[str, str], bool], ends: tuple[Revision, Revision]
) -> tuple[str | None, str | None, bool]:
    """The commits of two revisions, the earlier first, and whether they were named the other way round."""
    before, after = (end.commit for end in ends)
    backwards = before is not None and after is not None and before != after and is_in(before, after)
    return (after, before, True) if backwards else (before, after, False)


def _side(
    is_in: Callable[[str, str], bool], ends: tuple[Revision, Revision], part: HullPart,
    share: BuiltSide | None,
) -> BuiltSide:  # fmt: skip
    """Which side of a change a part is on, whichever way round the two revisions are named."""
    early, late, backwards = _in_order(is_in, ends)
    if share == "after" or (late is not None and is_in(part.commit, late)):
        return "before" if backwards else "after"
    if share is not None:
        return share
    if early is not None and early != part.commit and is_in(part.commit, early) and late is not None:
        return "between"
    return "after" if backwards else "before"


def _open(current: Snapshot, model: str, zones: frozenset[str]) -> Iterator[OpenObservation]:
    for trial_id, trial in open_trials(current.records):
        if _concerns(current, trial_id, model, zones):
            state = trial_state(current.records, trial_id)
            yield OpenObservation(
                trial_id, trial.hull, trial.zone, trial.observation, trial.severity, state,
                trial.on.isoformat(), trial.text,
            )  # fmt: skip


def _concerns(current: Snapshot, record_id: str, model: str, zones: frozenset[str]) -> bool:
    """Whether a record is about one of some zones of a model, by the name it wrote or the name of today."""
    record = current.records[record_id]
    if not isinstance(record, Trial | Deviation):
        return False
    hull = current.hulls.get(record.hull)
    names = {record.zone, *zones_now(current, record)}
    return hull is not None and hull.model == model and bool(names & zones)
