"""The layup sheet of a part or a zone: for which hull and release, out of which files, what to mind."""

import re
from dataclasses import dataclass

from recipe_track.errors import CallError
from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.impact.materials import materials_used
from recipe_track.recipe.craft import Part
from recipe_track.recipe.hulls import HullPart
from recipe_track.recipe.identity import pair_zones
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.snapshot import ModelTree, Snapshot
from recipe_track.recipe.states import Hold
from recipe_track.review.choosing import hull_named, hull_part_named, one_of
from recipe_track.review.hull.zones import built_recipes, part_tree
from recipe_track.review.papers.sheet_zones import Difference, SheetZone, differences, sheet_zone
from recipe_track.review.papers.steps import Mix, mixes_of
from recipe_track.workspace import Revision, Workspace

FORM_ORDER = ("plate", "stiffener", "joint")
PART_FLOOR_KEYS = ("process", "resin", "line_resin_kg")


def _require(tree: ModelTree, of: str, part: str) -> None:
    one_of("part or zone", of if "/" in of else part, [*tree.parts, *tree.zones])


def _place(case: ZoneCase) -> tuple[int, str]:
    """Shells before what is bonded into them, joints last."""
    return FORM_ORDER.index(case.zone.form), case.name


def _gone(before: ModelTree, after: ModelTree, part: str) -> tuple[str, ...]:
    pairs = pair_zones(before.zones, after.zones)
    return tuple(pair.name for pair in pairs if pair.after is None and part_of(pair.name) == part)


RELEASE = re.compile(r"r[1-9][0-9]*")


@dataclass(frozen=True, slots=True)
class Previous:
    """The hull before, and the release its part was started to."""

    hull: str
    revision: str


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
    part = part_of(of)
    if hull is not None and chosen is not None:
        source = of_hull(ws, current, chosen, hull, part)
    else:
        chosen, source = of_revision(ws, model, part, at)
    tree = source.snapshot.models[chosen]
    _require(tree, of, part)
    return _sheet(ws, current, tree, source, of, hull)


@dataclass(frozen=True, slots=True)
class SheetSource:
    """Which files a sheet is made from."""

    revision: Revision
    snapshot: Snapshot
    released: bool
    warnings: tuple[str, ...] = ()
    built: HullPart | None = None


def _sheet(
    ws: Workspace, current: Snapshot, tree: ModelTree, source: SheetSource, of: str, hull: str | None
) -> Sheet:
    part = part_of(of)
    cases = [c for c in zone_cases(source.snapshot, tree) if of in (part, c.name)]
    cases = sorted((c for c in cases if part_of(c.name) == part), key=_place)
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
        tuple(differences(built.part, tree.parts[part].part, PART_FLOOR_KEYS)) if built else (),
        _gone(before[1].models[tree.id], tree, part) if before and of == part else (),
        zones, mixes_of(cases),
    )  # fmt: skip


def of_hull(ws: Workspace, current: Snapshot, model: str, hull: str, part: str) -> SheetSource:
    """The files that a part of a hull was started to, whatever its label stands for today."""
    built = hull_part_named(current, hull, part)
    if not built_recipes(ws, [built]):
        raise CallError(
            f"the commit {built.commit[:10]} that {part} of hull {hull} is built to is not in this clone",
            "fetch it, a shallow clone may not have it",
        )
    dated = ws.revision_of(built.commit, model)
    revision = Revision(built.revision, built.commit, dated.date)
    tags = {release.label: release for release in ws.labels(model).releases if release.on_main}
    tag = tags.get(built.revision)
    warnings = []
    if tag is None:
        warnings.append(f"{built.revision} is no release on main")
    elif tag.commit != built.commit:
        warnings.append(f"the tag {tag.tag} stands for another commit than when this hull was started")
    return SheetSource(revision, ws.snapshot(dated), tag is not None, tuple(warnings), built)


def of_revision(ws: Workspace, model: str | None, part: str, at: str | None) -> tuple[str, SheetSource]:
    """The files of a revision; where they lay the part as the last release does, that release."""
    revision = ws.revision(at or ws.default_text(), ws.only_model(model))
    snapshot = ws.snapshot(revision)
    chosen = ws.model_of(model, snapshot)
    labels = ws.labels(chosen)
    if revision.label is not None and RELEASE.fullmatch(revision.label):
        return chosen, SheetSource(revision, snapshot, True)
    latest = labels.latest
    if latest is not None:
        released = ws.read(ws.revision_of(latest.commit, chosen)).snapshot
        if _same_part(released, snapshot, chosen, part):
            return chosen, SheetSource(ws.revision_of(latest.commit, chosen), snapshot, True)
    return chosen, SheetSource(revision, snapshot, False)


def _same_part(one: Snapshot, other: Snapshot, model: str, part: str) -> bool:
    """Whether two revisions lay a part alike: the same files, and the same data of what it is made of."""
    if model not in one.models or model not in other.models:
        return False
    tree = one.models[model].parts.get(part)
    if tree is None or tree != other.models[model].parts.get(part):
        return False
    used = {name for zone in tree.zones.values() for name in materials_used(zone, tree.part, one.materials)}
    return all(one.materials.get(name) == other.materials.get(name) for name in used)


def previous_hull(
    ws: Workspace, current: Snapshot, model: str, part: str, hull: str | None
) -> tuple[Previous, Snapshot] | None:
    """The hull before by its number, or the last one, with the recipe that its part was started to."""
    for number in sorted(current.numbers(model), key=_counted, reverse=True):
        built = current.hull_state(number).part(part)
        if built is None:
            continue
        if hull is not None and _counted(number) >= _counted(hull):
            continue
        recipes = built_recipes(ws, [built])
        if part_tree(recipes, model, built) is not None:
            return Previous(number, built.revision), recipes[built.commit]
    return None


def _counted(number: str) -> tuple[tuple[int, int, str], ...]:
    """Hull numbers in the order people count them: 9 before 10."""
    pieces = re.findall(r"\d+|\D+", number)
    return tuple((0, int(p), "") if p.isdecimal() else (1, 0, p) for p in pieces)
