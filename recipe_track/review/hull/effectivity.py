"""Which hull has which change: by the release each part names, and by the hull actions decided since."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from recipe_track.history.objects import has_commit
from recipe_track.history.refs import is_ancestor
from recipe_track.impact.materials import materials_used
from recipe_track.recipe.craft import HullPart
from recipe_track.recipe.paths import file_at
from recipe_track.recipe.records import HullActionKind
from recipe_track.recipe.snapshot import PartTree, Snapshot
from recipe_track.review.hull.zones import part_snapshot
from recipe_track.review.past.changes_on_main import ChangeOnMain
from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class EffectivePart:
    """A part of a hull that is built, or is to be built, to a release with a change."""

    hull: str
    part: HullPart


class Effectivity:
    """The hulls of a repository held against its history; made once for a command."""

    def __init__(self, ws: Workspace, snapshot: Snapshot) -> None:
        self._ws = ws
        self._snapshot = snapshot
        self._used: dict[tuple[str, str], frozenset[str] | None] = {}

    @cached_property
    def _ages(self) -> dict[str, int]:
        return {commit.id: n for n, commit in enumerate(reversed(self._ws.commits))}

    def parts_with(self, landed: ChangeOnMain, model: str) -> Iterator[EffectivePart]:
        """Parts of hulls whose release contains a change that touches them."""
        for number, hull in sorted(self._snapshot.hulls.items()):
            for part in hull.part if hull.model == model else ():
                if self.contains(part.commit, landed.commit.id) and self.touches(landed, model, part):
                    yield EffectivePart(number, part)

    def hulls_with(self, landed: ChangeOnMain, model: str) -> tuple[str, ...]:
        """Hulls with a part that is laid or planned to a release that contains a change."""
        return tuple(dict.fromkeys(built.hull for built in self.parts_with(landed, model)))

    def contains(self, later: str, commit: str) -> bool:
        """Whether a commit is contained in another; False where this clone does not have the other."""
        if later in self._ages and commit in self._ages:
            return self._ages[commit] <= self._ages[later]
        return has_commit(self._ws.repo, later) and is_ancestor(self._ws.repo, commit, later)

    def touches(self, landed: ChangeOnMain, model: str, part: HullPart) -> bool:
        """Whether a change reaches the laminate of a part: its files, or a material that it uses."""
        if any(path.startswith(f"models/{model}/{part.part}/") for path in landed.paths):
            return True
        files = [file for path in landed.paths if (file := file_at(path))]
        materials = {file.id for file in files if file.kind == "material"}
        if not materials:
            return False
        used = self._materials(model, part)
        return used is None or bool(materials & used)  # unknown: better one hull too many than one too few

    def _materials(self, model: str, part: HullPart) -> frozenset[str] | None:
        key = (part.part, part.commit)
        if key not in self._used:
            snapshot = part_snapshot(self._ws, model, part)
            tree = snapshot.models.get(model) if snapshot else None
            built = tree.parts.get(part.part) if tree else None
            self._used[key] = _materials_of(built, snapshot) if built and snapshot else None
        return self._used[key]


def _materials_of(part: PartTree, snapshot: Snapshot) -> frozenset[str]:
    """Every material a part is made of, the fibres in its fabrics among them."""
    zones = (materials_used(zone, part.part, snapshot.materials) for zone in part.zones.values())
    return frozenset({part.part.resin}).union(*zones)


def hull_actions(snapshot: Snapshot, change: str) -> dict[tuple[str, str], HullActionKind]:
    """What was decided for hulls already built, by hull and part; the last decision holds."""
    return {
        (action.hull, action.part): action.action
        for _, decision in snapshot.records.decisions_about(change)
        for action in decision.hull_action
    }


STARTED = ("in-mould", "demoulded", "fitted")
