"""Two edits of one text joined the way git joins them: hunks that touch are a conflict unless alike."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import pairwise

Lines = Sequence[bytes]
MOST_PAIRS = 250_000  # of lines compared by the second way of matching


@dataclass(frozen=True, slots=True)
class _Hunk:
    """Lines `start` up to `end` of the base stand for lines `first` up to `last` of a side."""

    start: int
    end: int
    first: int
    last: int


def joins(base: bytes, ours: bytes, theirs: bytes) -> Iterator[bytes]:
    """The clean merges of two sides, none where a person has to choose.

    Where lines are alike, it hangs on how they are matched whether hunks touch, and where a line comes to
    stand; git has several ways, and slides a hunk among equal lines to the last place where it can stand.
    """
    root, one, two = (text.splitlines(keepends=True) for text in (base, ours, theirs))
    found: set[bytes] = set()
    for match in _WAYS:
        left, right = match(root, one), match(root, two)
        for sides in ((_slid(root, one, left), _slid(root, two, right)), (left, right)):
            lines = _joined(root, one, two, *sides)
            joined = None if lines is None else b"".join(lines)
            if joined is not None and joined not in found:
                found.add(joined)
                yield joined


def _longest_first(base: Lines, side: Lines) -> list[_Hunk]:
    """Hunks between the longest stretches that are alike."""
    codes = SequenceMatcher(None, base, side, autojunk=False).get_opcodes()
    return [_Hunk(*places) for tag, *places in codes if tag != "equal"]


def _most_alike(base: Lines, side: Lines) -> list[_Hunk]:
    """Hunks between as many equal lines as there can be."""
    head = _alike(base, side)
    tail = _alike(base[head:][::-1], side[head:][::-1])
    one, two = base[head : len(base) - tail], side[head : len(side) - tail]
    if len(one) * len(two) > MOST_PAIRS:
        return _longest_first(base, side)
    kept = [(-1, -1), *_common(one, two), (len(one), len(two))]
    return [
        _Hunk(i + 1 + head, k + head, j + 1 + head, m + head)
        for (i, j), (k, m) in pairwise(kept)
        if k > i + 1 or m > j + 1
    ]


def _common(one: Lines, two: Lines) -> Iterator[tuple[int, int]]:
    """Places of a longest common subsequence."""
    rows = [[0] * (len(two) + 1) for _ in range(len(one) + 1)]
    for i in reversed(range(len(one))):
        for j in reversed(range(len(two))):
            rows[i][j] = rows[i + 1][j + 1] + 1 if one[i] == two[j] else max(rows[i + 1][j], rows[i][j + 1])
    i = j = 0
    while i < len(one) and j < len(two):
        if one[i] == two[j]:
            yield i, j
            i, j = i + 1, j + 1
        elif rows[i + 1][j] >= rows[i][j + 1]:
            i += 1
        else:
            j += 1


def _alike(one: Lines, two: Lines) -> int:
    """How many lines two texts have in common before they first differ."""
    pairs = enumerate(zip(one, two, strict=False))
    return next((n for n, (a, b) in pairs if a != b), min(len(one), len(two)))


_WAYS: tuple[Callable[[Lines, Lines], list[_Hunk]], ...] = (_longest_first, _most_alike)


def _joined(
    base: Lines, ours: Lines, theirs: Lines, left: Sequence[_Hunk], right: Sequence[_Hunk]
) -> list[bytes] | None:
    joined: list[bytes] = []
    at, i, j = 0, 0, 0
    while i < len(left) or j < len(right):
        i_end, j_end, start, end = _group(left, right, i, j)
        one = _text(base, ours, left[i:i_end], start, end)
        other = _text(base, theirs, right[j:j_end], start, end)
        if i_end > i and j_end > j and one != other:
            return None
        joined += [*base[at:start], *(one if i_end > i else other)]
        at, i, j = end, i_end, j_end
    return [*joined, *base[at:]]


def _group(left: Sequence[_Hunk], right: Sequence[_Hunk], i: int, j: int) -> tuple[int, int, int, int]:
    """The next hunks of both sides that touch each other, and the lines of the base they span."""
    first = min((*left[i : i + 1], *right[j : j + 1]), key=lambda hunk: hunk.start)
    start, end = first.start, first.end
    fresh = True
    while fresh:
        fresh = False
        if i < len(left) and left[i].start <= end:
            end, i, fresh = max(end, left[i].end), i + 1, True
        if j < len(right) and right[j].start <= end:
            end, j, fresh = max(end, right[j].end), j + 1, True
    return i, j, start, end


def _text(base: Lines, side: Lines, hunks: Sequence[_Hunk], start: int, end: int) -> list[bytes]:
    """A side's lines in place of a span of the base."""
    lines: list[bytes] = []
    at = start
    for hunk in hunks:
        lines += [*base[at : hunk.start], *side[hunk.first : hunk.last]]
        at = hunk.end
    return [*lines, *base[at:end]]


def _slid(base: Lines, side: Lines, hunks: Sequence[_Hunk]) -> list[_Hunk]:
    """Lines put in or taken out, moved down past equal lines as far as the next hunk lets them."""
    found: list[_Hunk] = []
    ends = [*((hunk.start, hunk.first) for hunk in hunks[1:]), (len(base), len(side))]
    for hunk, (most, most_side) in zip(hunks, ends, strict=False):
        moved = hunk
        while moved.end < most and moved.last < most_side and _slides(base, side, moved):
            moved = _Hunk(moved.start + 1, moved.end + 1, moved.first + 1, moved.last + 1)
        found.append(moved)
    return found


def _slides(base: Lines, side: Lines, hunk: _Hunk) -> bool:
    if hunk.start == hunk.end:
        return side[hunk.first] == side[hunk.last]
    return hunk.first == hunk.last and base[hunk.start] == base[hunk.end]
