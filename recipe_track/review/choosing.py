"""What a person named, found; an unknown name is refused with the nearest ones there are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, TypeVar

from recipe_track.errors import CallError
from recipe_track.recipe.paths import hull_path, kind_of_path
from recipe_track.recipe.rules.names import nearest

if TYPE_CHECKING:
    from recipe_track.history.refs import Release
    from recipe_track.recipe.craft import Hull
    from recipe_track.recipe.hulls import HullPart
    from recipe_track.recipe.ledger import RecordT
    from recipe_track.recipe.snapshot import Snapshot
    from recipe_track.workspace import Workspace

NamedT = TypeVar("NamedT")


def named(what: str, name: str, known: Mapping[str, NamedT]) -> NamedT:
    """The thing of that name."""
    if name not in known:
        raise CallError(f"there is no {what} `{name}`", nearest(name, known))
    return known[name]


def one_of(what: str, name: str, known: Iterable[str]) -> str:
    """The name, if it is among those known."""
    names = list(known)
    if name not in names:
        raise CallError(f"there is no {what} `{name}`", nearest(name, names))
    return name


def hull_named(snapshot: Snapshot, hull: str) -> Hull:
    """The hull of that number."""
    return named("hull", hull, snapshot.hulls)


def hull_part_named(snapshot: Snapshot, hull: str, part: str) -> HullPart:
    """A part of a hull that is known."""
    state = snapshot.hull_state(hull)
    built = state.part(part)
    if built is None:
        raise CallError(f"hull {hull} has no part `{part}`", nearest(part, [p.part for p in state.parts]))
    return built


def require_hull_number(number: str) -> None:
    """Refuse what cannot be the number of a hull."""
    if kind_of_path(hull_path(number)) != "hull":
        raise CallError(f"`{number}` is not a hull number", "letters, digits, . _ and -, at most 32")


def record_named(snapshot: Snapshot, record_id: str, kind: type[RecordT], what: str) -> RecordT:
    """A record in force of one kind; one that was replaced is refused with its successor."""
    record_id = record_id.upper()
    record = named(what, record_id, snapshot.records.all_of(kind))
    if later := next(iter(snapshot.records.replaced_by.get(record_id, ())), None):
        raise CallError(f"{record_id} was replaced by {later}", f"name {later} instead")
    return record


def release_named(ws: Workspace, model: str, revision: str) -> Release:
    """A release on main by its label; anything else is refused, for a hull is built to a release."""
    label = revision.removeprefix(f"{model}/")
    releases = {release.label: release for release in ws.labels(model).releases if release.on_main}
    if label not in releases:
        raise CallError(f"there is no release `{revision}` of {model} on main", nearest(label, releases))
    return releases[label]
