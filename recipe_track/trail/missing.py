"""Approved edits that a commit lacks though they would still do something to it."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations

from recipe_track.trail.edits import NONE, Change, Edit, is_governed
from recipe_track.trail.line import Line
from recipe_track.trail.moves import Names
from recipe_track.trail.texts import Texts
from recipe_track.trail.verdict import Key, NotLanded

MOST_TOGETHER = 3  # edits of one file that are looked at together
MOST_TRIED = 12


@dataclass(frozen=True, slots=True)
class _Lacking:
    """An approved edit that never landed on a line."""

    key: Key
    edit: Edit


def detours(changes: Sequence[Change], held: frozenset[Key]) -> frozenset[Key]:
    """Edits of one proposal that are nowhere, and end where they began: a squash drops them."""
    found: list[Key] = []
    for change in changes:
        rows: dict[str, list[_Lacking]] = defaultdict(list)
        for number, edit in enumerate(change.edits):
            if (change.id, number) not in held:
                rows[edit.path].append(_Lacking((change.id, number), edit))
        for row in rows.values():
            follow = all(one.edit.after == other.edit.before for one, other in pairwise(row))
            if follow and row[0].edit.before == row[-1].edit.after:
                found += [lacking.key for lacking in row]
    return frozenset(found)


def not_landed(
    commit: str, line: Line, decided: Sequence[Change], excused: frozenset[Key], names: Names, texts: Texts
) -> Iterator[NotLanded]:
    """The edits of decided changes that a commit lacks; `excused` are those it holds, and detours."""
    rows: Mapping[str, list[_Lacking]] = defaultdict(list)
    for change in decided:
        for number, edit in enumerate(change.edits):
            if (change.id, number) not in excused and is_governed(edit.path):
                rows[names.of(edit.path)].append(_Lacking((change.id, number), edit))
    for name, row in rows.items():
        here = _here(name, row[0].edit.path, line, names)
        yield from (NotLanded(*lacking.key, lacking.edit, commit) for lacking in _effective(texts, row, here))


def _effective(texts: Texts, row: Sequence[_Lacking], here: str) -> list[_Lacking]:
    """Without those that would leave a text as it is, alone or because one undoes what another does."""
    left = list(row)
    for size in range(1, min(len(row), MOST_TOGETHER if len(row) <= MOST_TRIED else 1) + 1):
        for together in combinations(row, size):
            if any(lacking in left for lacking in together) and _sum_to_nothing(
                texts, [lacking.edit for lacking in together], here
            ):
                left = [lacking for lacking in left if lacking not in together]
    return left


def _here(name: str, path: str, line: Line, names: Names) -> str:
    """The blob of a file, under whatever name it goes now."""
    if path in line.blobs:
        return line.blobs[path]
    return next((blob for other, blob in sorted(line.blobs.items()) if names.of(other) == name), NONE)


def _sum_to_nothing(texts: Texts, edits: Sequence[Edit], here: str) -> bool:
    """Whether edits, one after the other in some order, lead back to where they started."""
    return any(_leads(texts, order, here, here) for order in permutations(edits))


def _leads(texts: Texts, edits: Sequence[Edit], here: str, goal: str) -> bool:
    """Whether edits carried onto a text lead to another. A revert without what it reverts leads nowhere."""
    if not edits:
        return texts.same(here, goal)
    first, *rest = edits
    if texts.same(first.before, first.after):  # line ends alone
        return _leads(texts, rest, here, goal)
    if texts.same(first.before, here):
        return _leads(texts, rest, first.after, goal)
    merged = texts.merged(first.path, first.before, here, first.after)
    return any(_leads(texts, rest, blob, goal) for blob in merged)
