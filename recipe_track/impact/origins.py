"""Since when each layer of a zone is there, and what was taken out: a trace through versions, without git."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from recipe_track.impact.align import Alignment, Kinds, Pair, Ply, align, plies_of
from recipe_track.impact.rows import LayerView, Mark, mark_of, view
from recipe_track.recipe.layup import Layer

V = TypeVar("V", bound=Hashable)


@dataclass(frozen=True, slots=True)
class VersionNode(Generic[V]):
    """One version of a zone, known by its id; `layup` is None where the zone does not exist.

    Parents are the versions it grew out of: one as a rule, two of a merge, and for a zone that was split off
    or joined from others, the zones it came from. `kinds` tells the kinds of the materials.
    """

    id: V
    parents: tuple[V, ...]
    layup: tuple[Layer, ...] | None
    kinds: Kinds = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Origin(Generic[V]):
    """Where some plies of a line come from: the version that brought them, how, and what they were before."""

    since: V
    mark: Mark
    was: LayerView | None
    plies: int


@dataclass(frozen=True, slots=True)
class LineOrigin(Generic[V]):
    """A line of the last version; `since` is the latest version that brought any of its plies."""

    line: int
    layer: Layer
    since: V
    origins: tuple[Origin[V], ...]


@dataclass(frozen=True, slots=True)
class RemovedLayer(Generic[V]):
    """Plies taken out, as their line was written in the version before the removal."""

    layer: LayerView
    since: V
    removed_by: V


@dataclass(frozen=True, slots=True)
class Trace(Generic[V]):
    """Every line of the last version with its origin, and what was taken out on the way, oldest first."""

    lines: tuple[LineOrigin[V], ...]
    removed: tuple[RemovedLayer[V], ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Birth(Generic[V]):
    """One ply as it was brought in; it stays the same through every version that keeps or moves it."""

    since: V
    mark: Mark
    was: Ply | None


@dataclass(slots=True)
class _Lives(Generic[V]):
    """What is known after one version: its plies and births, and which births have ended on the way."""

    version: VersionNode[V]
    plies: tuple[Ply, ...]
    births: tuple[_Birth[V], ...]
    ended: frozenset[_Birth[V]]
    removed: tuple[tuple[Ply, _Birth[V]], ...]


def trace(versions: Sequence[VersionNode[V]]) -> Trace[V]:
    """Where the layers of the last version come from; versions oldest first, parents ahead of children.

    An altered or replaced layer is there since the alteration; a kept or moved one keeps its origin, in a
    merge that of the first parent that has it. Raises ValueError where a parent is not among the versions.
    """
    lives: dict[V, _Lives[V]] = {}
    for version in versions:
        unknown = [parent for parent in version.parents if parent not in lives]
        if unknown:
            raise ValueError(f"version {version.id!r} comes ahead of its parent {unknown[0]!r}")
        lives[version.id] = _lived(version, [lives[parent] for parent in version.parents])
    if not versions:
        return Trace((), ())
    last = lives[versions[-1].id]
    order = {version.id: n for n, version in enumerate(versions)}
    return Trace(tuple(_lines(last, order)), tuple(_removed(last, lives)))


def _lived(version: VersionNode[V], parents: Sequence[_Lives[V]]) -> _Lives[V]:
    """Gives every ply of a version its birth and notes what ended with it."""
    layup = version.layup or ()
    aligned = [
        align(parent.version.layup or (), layup, {**parent.version.kinds, **version.kinds})
        for parent in parents
    ]
    plies = plies_of(layup, version.kinds)
    births = tuple(_birth(version.id, plies[n], n, parents, aligned) for n in range(len(plies)))
    ended_before = frozenset[_Birth[V]]().union(*(parent.ended for parent in parents))
    ending = _ending(parents, aligned, ended_before.union(births))
    ended = ended_before.union(birth for _, birth, _ in ending).difference(births)
    removed = tuple((ply, birth) for ply, birth, followed in ending if not followed)
    return _Lives(version, plies, births, ended, removed)


def _birth(
    version: V, ply: Ply, n: int, parents: Sequence[_Lives[V]], aligned: Sequence[Alignment]
) -> _Birth[V]:
    """That of the ply it was in a parent, kept before moved; a new one where it was altered or added."""
    for pairs in ([a.matches for a in aligned], [a.moves for a in aligned]):
        for parent, known in zip(parents, pairs, strict=True):
            i = _partner(known, n)
            if i is not None and mark_of(parent.plies[i], ply) == "kept":
                return parent.births[i]
    for parent, alignment in zip(parents, aligned, strict=True):
        i = _partner(alignment.matches, n)
        if i is not None:
            return _Birth(version, mark_of(parent.plies[i], ply), parent.plies[i])
    return _Birth(version, "added", None)


def _partner(pairs: Sequence[Pair], n: int) -> int | None:
    return next((i for i, j in pairs if j == n), None)


def _ending(
    parents: Sequence[_Lives[V]], aligned: Sequence[Alignment], known: frozenset[_Birth[V]]
) -> list[tuple[Ply, _Birth[V], bool]]:
    """Plies of the parents that are here no more, and whether another ply followed in their place.

    What ended already on the way to any parent is no news: the other side of a merge has merely not seen it.
    """
    ending = {}
    for parent, alignment in zip(parents, aligned, strict=True):
        followed = {i for i, _ in alignment.matches}
        for i, birth in enumerate(parent.births):
            if birth not in known and birth not in ending:
                ending[birth] = (parent.plies[i], birth, i in followed)
    return list(ending.values())


def _lines(last: _Lives[V], order: Mapping[V, int]) -> Iterator[LineOrigin[V]]:
    at = 0
    for line, layer in enumerate(last.version.layup or (), start=1):
        births = last.births[at : at + layer.plies]
        at += layer.plies
        since = max((birth.since for birth in births), key=lambda version: order[version])
        yield LineOrigin(line, layer, since, tuple(_origins(births)))


def _origins(births: Sequence[_Birth[V]]) -> Iterator[Origin[V]]:
    """Plies of one line that came together, in order of their first ply."""
    together: dict[object, list[_Birth[V]]] = {}
    for birth in births:
        together.setdefault((birth.since, birth.mark, birth.was and birth.was.line), []).append(birth)
    for same in together.values():
        first = same[0]
        was = view(first.was.line, first.was.layer, len(same)) if first.was else None
        yield Origin(first.since, first.mark, was, len(same))


def _removed(last: _Lives[V], lives: Mapping[V, _Lives[V]]) -> Iterator[RemovedLayer[V]]:
    """What was taken out on the way to the last version and has not come back, by its latest removal."""
    ancestry = _ancestry(last, lives)
    latest: dict[_Birth[V], tuple[V, Ply]] = {}
    for name, life in lives.items():
        if name in ancestry:
            latest.update((birth, (name, ply)) for ply, birth in life.removed)
    together: dict[tuple[V, int, V], list[Ply]] = {}
    for birth, (name, ply) in latest.items():
        if birth not in last.births:
            together.setdefault((name, ply.line, birth.since), []).append(ply)
    order = {name: n for n, name in enumerate(lives)}
    for name, line, since in sorted(together, key=lambda key: (order[key[0]], key[1], order[key[2]])):
        plies = together[name, line, since]
        yield RemovedLayer(view(line, plies[0].layer, len(plies)), since, name)


def _ancestry(last: _Lives[V], lives: Mapping[V, _Lives[V]]) -> set[V]:
    """The last version and every version it grew out of."""
    found: set[V] = set()
    ahead = [last.version.id]
    while ahead:
        name = ahead.pop()
        if name not in found:
            found.add(name)
            ahead.extend(lives[name].version.parents)
    return found
