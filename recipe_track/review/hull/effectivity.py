"""Which hull has which change: by the release each part names, and by the hull actions decided since."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.history.objects import has_commit
from recipe_track.history.refs import is_ancestor
from recipe_track.impact.materials import materials_used
from recipe_track.recipe.hulls import OPEN
from recipe_track.recipe.paths import file_at
from recipe_track.review.hull.zones import Recipes, built_recipes, part_tree
from recipe_track.review.past.changes_on_main import ChangeOnMain, changes_on_main

if TYPE_CHECKING:
    from recipe_track.recipe.hulls import HullPart
    from recipe_track.recipe.records import HullActionKind
    from recipe_track.recipe.snapshot import PartTree, Snapshot
    from recipe_track.workspace import Workspace
    from recipe_track.workspace.trail import Trail


@dataclass(frozen=True, slots=True)
class EffectivePart:
    """A part of a hull that is built, or is to be built, to a release with a change."""

    hull: str
    part: HullPart


class Effectivity:
    """The hulls of a repository held against its history, all of it read; made once for a command.

    `landed` tells where every change arrived on main, `recipes` what parts of hulls were started to.
    """

    def __init__(
        self, snapshot: Snapshot, trail: Trail | None, landed: Mapping[str, ChangeOnMain], recipes: Recipes
    ) -> None:
        self._snapshot, self._trail = snapshot, trail
        self.landed, self.recipes = landed, recipes
        self._used: dict[tuple[str, str], frozenset[str] | None] = {}

    def carriers(self, landing: ChangeOnMain, model: str) -> Iterator[EffectivePart]:
        """Parts of hulls with a change that touches them: by their release, or carried out on them since."""
        for number in self._snapshot.numbers(model):
            for part in self._snapshot.hull_parts(number):
                if self.has(part, landing.change) and self.touches(landing, model, part):
                    yield EffectivePart(number, part)

    def hulls_with(self, landing: ChangeOnMain, model: str) -> tuple[str, ...]:
        """Hulls with a part, in the mould or further, that has a change."""
        carriers = self.carriers(landing, model)
        return tuple(dict.fromkeys(carrier.hull for carrier in carriers if carrier.part.is_started))

    def hulls_planned(self, landing: ChangeOnMain, model: str) -> tuple[str, ...]:
        """Hulls that are to have a change by the release of a part that is not in the mould yet."""
        carriers = self.carriers(landing, model)
        planned = dict.fromkeys(carrier.hull for carrier in carriers if carrier.part.state in OPEN)
        return tuple(hull for hull in planned if hull not in self.hulls_with(landing, model))

    def has(self, part: HullPart, change: str) -> bool:
        """Whether a part has a change: its release contains it, or it was carried out on the built part."""
        return change in part.done or (self._trail is not None and self._trail.holds(part.commit, change))

    def behind(self, commit: str) -> frozenset[str]:
        """A commit of main and all that it contains; empty for one off main."""
        return self._trail.behind(commit) if self._trail else frozenset()

    def touches(self, landing: ChangeOnMain, model: str, part: HullPart) -> bool:
        """Whether a change reaches the laminate of a part: its files, or a material that it uses."""
        if any(path.startswith(f"models/{model}/{part.part}/") for path in landing.paths):
            return True
        files = [file for path in landing.paths if (file := file_at(path))]
        materials = {file.id for file in files if file.kind == "material"}
        if not materials:
            return False
        used = self._materials(model, part)
        return used is None or bool(materials & used)  # unknown: better one hull too many than one too few

    def _materials(self, model: str, part: HullPart) -> frozenset[str] | None:
        key = (part.part, part.commit)
        if key not in self._used:
            built = part_tree(self.recipes, model, part)
            self._used[key] = materials_of(built, self.recipes[part.commit]) if built else None
        return self._used[key]


def effectivity_of(ws: Workspace, snapshot: Snapshot) -> Effectivity:
    """What of main and of the hulls' releases is needed to tell which hull has which change."""
    parts = [stay.part for number in snapshot.hulls for stay in snapshot.hull_state(number).stays]
    trail = ws.trail if ws.refs.main else None
    return Effectivity(snapshot, trail, changes_on_main(ws), built_recipes(ws, parts))


def contains(ws: Workspace, later: str, commit: str) -> bool:
    """Whether a commit is contained in another; False where this clone does not have the other."""
    behind = ws.trail.behind(later)
    if behind:
        return commit in behind
    return has_commit(ws.repo, later) and is_ancestor(ws.repo, commit, later)


def materials_of(part: PartTree, snapshot: Snapshot) -> frozenset[str]:
    """Every material a part is made of, the fibres in its fabrics among them."""
    zones = (materials_used(zone, part.part, snapshot.materials) for zone in part.zones.values())
    return frozenset({part.part.resin}).union(*zones)


def hull_actions(snapshot: Snapshot, change: str) -> dict[tuple[str, str], HullActionKind]:
    """What was decided for parts already built, by the hull a part is on now; the last decision holds.

    It goes with the copy it was decided for, and is over where another has taken its place.
    """
    records = snapshot.records
    decided: dict[tuple[str, str], HullActionKind] = {}
    for name, decision in records.decisions_about(change):
        for action in decision.hull_action:
            copy = records.copy_at(action.hull, action.part, name)
            hull, part = records.copies.get(copy or "", (records.number_of(action.hull), None))
            if part is None or records.hull_state(hull).part(action.part) == part:
                decided[hull, action.part] = action.action
    return decided


def open_hull_actions(
    snapshot: Snapshot, fleet: Effectivity, change: str
) -> Iterator[tuple[str, HullPart, HullActionKind]]:
    """What was decided for hulls already built and is not done: hull, part, action."""
    for (hull, part_id), action in sorted(hull_actions(snapshot, change).items()):
        part = snapshot.hull_state(hull).part(part_id)
        if action != "as-is" and part and part.state != "scrapped" and not fleet.has(part, change):
            yield hull, part, action


def hull_action_name(hull: str, part: str) -> str:
    """How an action names what it answers of a change that is to be carried out on hulls."""
    return f"hull {hull}, {part}"


def lacking_changes(
    fleet: Effectivity, snapshot: Snapshot, model: str, part: HullPart, within: str | None = None
) -> tuple[str, ...]:
    """Approved changes that touch a part and that it lacks: those of a later release, or all on main."""
    return tuple(
        change
        for change, landing in fleet.landed.items()
        if change in snapshot.records.approved_changes
        and fleet.touches(landing, model, part)
        and not fleet.has(part, change)
        and (within is None or landing.copies & fleet.behind(within))
    )
