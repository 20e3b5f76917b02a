"""The zones a hull was built with, and how they depart from the release of their part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.errors import CallError
from recipe_track.history.objects import has_commit
from recipe_track.recipe.identity import names_now
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.records import Deviation, Trial
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from recipe_track.recipe.states import DeviationState, deviation_state
from recipe_track.review.choosing import hull_named
from recipe_track.workspace import Revision, Workspace

if TYPE_CHECKING:
    from recipe_track.recipe.hulls import HullPart
    from recipe_track.recipe.layup import Zone
    from recipe_track.recipe.ledger import Records

KINDS_IN_WORDS = {"nonconformity": "nonconformity", "deviation-permit": "request to deviate"}
ACCEPTED_IN_WORDS = {"nonconformity": "concession", "deviation-permit": "deviation permit"}


def state_in_words(deviation: Deviation, state: DeviationState) -> str:
    """`concession`, `deviation permit`, or what it is until it is accepted."""
    if state == "accepted":
        return ACCEPTED_IN_WORDS[deviation.type]
    ending = "refused" if state == "refused" else "not decided"
    return f"{KINDS_IN_WORDS[deviation.type]}, {ending}"


def built_zone(ws: Workspace, snapshot: Snapshot, number: str, name: str) -> Zone | None:
    """A zone as the release of its part on this hull has it, else as main has it."""
    model = snapshot.hulls[number].model
    part = snapshot.hull_state(number).part(part_of(name))
    tree = part_tree(built_recipes(ws, [part]), model, part) if part else None
    if tree is None:
        return snapshot.zones_of(model).get(name)
    return tree.zones.get(name.removeprefix(f"{tree.id}/"))


@dataclass(frozen=True, slots=True)
class DeviationShown:
    """A deviation and where it stands; `former` is the copy it is of, where another has taken its place."""

    id: str
    deviation: Deviation
    state: DeviationState
    former: HullPart | None = None


Recipes = Mapping[str, Snapshot]  # by commit


def built_recipes(ws: Workspace, parts: Iterable[HullPart]) -> Recipes:
    """The recipe at every commit that parts were started to; left out what this clone does not have."""
    commits = dict.fromkeys(part.commit for part in parts)
    on_main = [commit for commit in commits if ws.refs.main and commit in ws.trail.by_id]
    recipes = {commit: reading.snapshot for commit, reading in ws.along(on_main)}
    elsewhere = [commit for commit in commits if commit not in recipes and has_commit(ws.repo, commit)]
    return recipes | {commit: ws.read(Revision(None, commit, None)).snapshot for commit in elsewhere}


def part_tree(recipes: Recipes, model: str, part: HullPart) -> PartTree | None:
    """A part as it was released for a hull; None where it cannot be read."""
    snapshot = recipes.get(part.commit)
    tree: ModelTree | None = snapshot.models.get(model) if snapshot else None
    return tree.parts.get(part.part) if tree else None


def zones_of_hull(ws: Workspace, current: Snapshot, number: str) -> tuple[str, ...]:
    """Zones of the hull's part releases; main's where a part cannot be read or none is listed."""
    return tuple(sorted(set(_zones(ws, current, number))))


def _zones(ws: Workspace, current: Snapshot, number: str) -> Iterator[str]:
    model, parts = current.hulls[number].model, current.hull_parts(number)
    tree = current.models.get(model)
    now, recipes = tree.parts if tree else {}, built_recipes(ws, parts)
    for part in parts:
        built = part_tree(recipes, model, part) or now.get(part.part)
        if built is not None:
            yield from (f"{part.part}/{zone}" for zone in built.zones)
    if not parts and tree is not None:
        yield from tree.zones


def require_zone(ws: Workspace, current: Snapshot, number: str, zone: str) -> str:
    """The zone's name, if the hull has it; refused with the nearest names of that hull."""
    known = zones_of_hull(ws, current, number)
    if zone not in known:
        hint = nearest(zone, known) or _nearest_by_zone(zone, known)
        raise CallError(f"hull {number} has no zone `{zone}`", hint)
    return zone


def _nearest_by_zone(zone: str, known: tuple[str, ...]) -> str:
    return f"a zone is named part/zone; hull zones: {', '.join(known)}" if known else ""


def zone_now(snapshot: Snapshot, record: Trial | Deviation) -> str:
    """What the zone of a record is called on main today, its first piece if it was split; else as it was."""
    return zones_now(snapshot, record)[0]


def zones_now(snapshot: Snapshot, record: Trial | Deviation) -> tuple[str, ...]:
    """What the zone of a record is called on main today, all its pieces if it was split since."""
    hull = snapshot.hulls.get(record.hull)
    return names_now(record.zone, snapshot.zones_of(hull.model) if hull else {}) or (record.zone,)


def deviation_shown(records: Records, name: str, deviation: Deviation) -> DeviationShown:
    """A deviation and where it stands."""
    return DeviationShown(name, deviation, deviation_state(records, name), records.former_copy(name))


def deviation_rows(snapshot: Snapshot, hull: str | None = None) -> tuple[DeviationShown, ...]:
    """Departures, those that wait for a decision first, then by date."""
    if hull is not None:
        hull_named(snapshot, hull)
    records = snapshot.records
    deviations = records.of_kind(Deviation) if hull is None else records.on_hull(Deviation, hull)
    rows = [deviation_shown(records, i, d) for i, d in deviations]
    return tuple(sorted(rows, key=lambda row: row.state != "reported"))
