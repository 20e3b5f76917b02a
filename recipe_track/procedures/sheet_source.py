"""From which files a layup sheet is made: those a hull was started to, a release, or files not released."""

import re
from dataclasses import dataclass

from recipe_track.errors import CallError
from recipe_track.impact.uses import materials_of
from recipe_track.procedures.hull_zones import part_snapshot
from recipe_track.recipe.craft import HullPart
from recipe_track.recipe.rules.names import nearest
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.workspace import Revision, Workspace

RELEASE = re.compile(r"r[1-9][0-9]*")


@dataclass(frozen=True, slots=True)
class Previous:
    """The hull before, and the release its part was started to."""

    hull: str
    revision: str


@dataclass(frozen=True, slots=True)
class SheetSource:
    """Which files a sheet is made from."""

    revision: Revision
    snapshot: Snapshot
    released: bool
    warnings: tuple[str, ...] = ()
    built: HullPart | None = None


def of_hull(ws: Workspace, current: Snapshot, model: str, hull: str, part: str) -> SheetSource:
    """The files that a part of a hull was started to, whatever its label stands for today."""
    listed = {p.part: p for p in current.hulls[hull].part}
    if part not in listed:
        raise CallError(f"hull {hull} has no part `{part}`", nearest(part, listed))
    built = listed[part]
    if part_snapshot(ws, model, built) is None:
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
    used = {name for zone in tree.zones.values() for name in materials_of(zone, tree.part, one.materials)}
    return all(one.materials.get(name) == other.materials.get(name) for name in used)


def previous_hull(
    ws: Workspace, current: Snapshot, model: str, part: str, hull: str | None
) -> tuple[Previous, Snapshot] | None:
    """The hull before by its number, or the last one, with the recipe that its part was started to."""
    for number in sorted(current.hulls, key=_counted, reverse=True):
        known = current.hulls[number]
        built = next((p for p in known.part if p.part == part), None)
        if known.model != model or built is None:
            continue
        if hull is not None and _counted(number) >= _counted(hull):
            continue
        snapshot = part_snapshot(ws, model, built)
        if snapshot is not None and model in snapshot.models and part in snapshot.models[model].parts:
            return Previous(number, built.revision), snapshot
    return None


def _counted(number: str) -> tuple[tuple[int, int, str], ...]:
    """Hull numbers in the order people count them: 9 before 10."""
    pieces = re.findall(r"\d+|\D+", number)
    return tuple((0, int(p), "") if p.isdecimal() else (1, 0, p) for p in pieces)
