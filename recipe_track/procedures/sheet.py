"""The layup sheet of a part or a zone: for which hull and release, what to lay, what to mind."""

from collections.abc import Mapping
from dataclasses import dataclass

from recipe_track.errors import CallError
from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.procedures.choosing import hull_named, one_of
from recipe_track.procedures.pairs import former_names, zones_by_name
from recipe_track.procedures.sheet_source import Previous, SheetSource, of_hull, of_revision, previous_hull
from recipe_track.procedures.sheet_steps import Mix, mixes_of
from recipe_track.procedures.sheet_zones import Difference, SheetZone, differences, sheet_zone
from recipe_track.recipe.craft import Part
from recipe_track.recipe.snapshot import ModelTree, Snapshot
from recipe_track.recipe.states import Hold
from recipe_track.workspace import Revision, Workspace

FORM_ORDER = ("plate", "stiffener", "joint")
PART_WORDS: Mapping[str, str] = {"process": "process", "resin": "resin", "line_resin_kg": "line resin [kg]"}


@dataclass(frozen=True, slots=True)
class Sheet:
    """A layup sheet; `released` where it comes from a release on main."""

    of: str
    yard: str | None
    model: str
    model_name: str | None
    part: str
    part_data: Part
    whole_part: bool
    hull: str | None
    state: str | None
    revision: Revision
    released: bool
    warnings: tuple[str, ...]
    previous: Previous | None
    differences: tuple[Difference, ...]
    gone: tuple[str, ...]
    zones: tuple[SheetZone, ...]
    mixes: tuple[Mix, ...]

    @property
    def holds(self) -> tuple[Hold, ...]:
        """Every hold on a zone of the sheet."""
        return tuple(dict.fromkeys(hold for zone in self.zones for hold in zone.holds))


def sheet_of(ws: Workspace, of: str, model: str | None, hull: str | None, at: str | None) -> Sheet:
    """The sheet of a part or zone: for a hull as its part was started, else from a revision or the files.

    Raises CallError for an unknown part, zone or hull.
    """
    if hull is not None and at is not None:
        raise CallError("--hull and --at exclude each other", "a hull's part names its own release")
    current = ws.current()
    chosen = hull_named(current, hull).model if hull is not None else None
    part = of.split("/")[0]
    if hull is not None and chosen is not None:
        source = of_hull(ws, current, chosen, hull, part)
    else:
        chosen, source = of_revision(ws, model, part, at)
    tree = source.snapshot.models[chosen]
    _require(tree, of, part)
    return _sheet(ws, current, tree, source, of, hull)


def _require(tree: ModelTree, of: str, part: str) -> None:
    names = zones_by_name(tree)
    one_of("part or zone", of if "/" in of else part, [*tree.parts, *names])


def _sheet(
    ws: Workspace, current: Snapshot, tree: ModelTree, source: SheetSource, of: str, hull: str | None
) -> Sheet:
    part = of.split("/")[0]
    cases = [c for c in zone_cases(source.snapshot, tree) if of in (part, c.name)]
    cases = sorted((c for c in cases if c.name.split("/")[0] == part), key=_place)
    before = previous_hull(ws, current, tree.id, part, hull)
    zones = tuple(
        sheet_zone(current, case, source.snapshot, tree, before[1] if before else None, hull)
        for case in cases
    )
    built = before[1].models[tree.id].parts[part] if before else None
    return Sheet(
        of, source.snapshot.settings.yard, tree.id, tree.model.name, part, tree.parts[part].part,
        of == part, hull, source.built.state if source.built else None, source.revision, source.released,
        source.warnings, before[0] if before else None,
        tuple(differences(built.part, tree.parts[part].part, PART_WORDS)) if built else (),
        _gone(before[1].models[tree.id], tree, part) if before and of == part else (),
        zones, mixes_of(cases),
    )  # fmt: skip


def _place(case: ZoneCase) -> tuple[int, str]:
    """Shells before what is bonded into them, joints last."""
    return FORM_ORDER.index(case.zone.form), case.name


def _gone(before: ModelTree, after: ModelTree, part: str) -> tuple[str, ...]:
    kept = set(former_names(before, after).values())
    return tuple(name for name in sorted(zones_by_name(before)) if name not in kept and _in(name, part))


def _in(zone: str, part: str) -> bool:
    return zone.split("/")[0] == part
