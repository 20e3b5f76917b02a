"""Two edits of one recipe file joined line by line, but only to a valid file that says what both meant."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

import tomli

from recipe_track.textfiles.meaning.read import read_file

MOST_LINES = 2000  # of all versions; the time goes with the square, and a recipe file has some 50


def is_mergeable(path: str, *versions: bytes) -> bool:
    """Whether every version can stand at the path, and none is too long."""
    return all(v.count(b"\n") < MOST_LINES and is_valid(path, v) for v in versions)


def merge(path: str, base: bytes, ours: bytes, theirs: bytes) -> bytes | None:
    """The file with the edits of both sides, None where a person has to choose; versions are mergeable."""
    versions = (base, ours, theirs)
    lines = merge_lines(*(version.splitlines(keepends=True) for version in versions))
    joined = None if lines is None else b"".join(lines)
    if joined is None or not is_valid(path, joined):
        return None
    data = [tomli.loads(version.decode()) for version in (*versions, joined)]
    return joined if is_meant(*data) else None


def is_valid(path: str, data: bytes) -> bool:
    """Whether a version can stand at a path."""
    return read_file(path, data)[0] is not None


def fenced(ours: bytes, theirs: bytes, marker_size: int) -> bytes:
    """Both versions in one text, with git's conflict markers around all that differs."""
    one, two = ours.splitlines(keepends=True), theirs.splitlines(keepends=True)
    head = _alike(one, two)
    tail = _alike(one[head:][::-1], two[head:][::-1])
    text = [
        *one[:head],
        *_side(b"<" * marker_size + b" ours\n", one[head : len(one) - tail]),
        *_side(b"=" * marker_size + b"\n", two[head : len(two) - tail]),
        b">" * marker_size + b" theirs\n",
        *one[len(one) - tail :],
    ]
    return b"".join(text)


def _side(marker: bytes, lines: Sequence[bytes]) -> list[bytes]:
    ended = [*lines[:-1], lines[-1].removesuffix(b"\n") + b"\n"] if lines else []
    return [marker, *ended]


def _alike(one: Sequence[bytes], two: Sequence[bytes]) -> int:
    """How many lines two texts have in common before they first differ."""
    pairs = enumerate(zip(one, two, strict=False))
    return next((n for n, (a, b) in pairs if a != b), min(len(one), len(two)))


def is_meant(base: Any, ours: Any, theirs: Any, joined: Any) -> bool:
    """Whether what was joined differs from each side by the other side's edits and by nothing else."""
    if ours in (base, theirs):
        return bool(joined == theirs)
    if theirs == base:
        return bool(joined == ours)
    values = (base, ours, theirs, joined)
    if all(isinstance(value, dict) for value in values):
        keys = {key for value in values for key in value}
        return all(is_meant(*(value.get(key) for value in values)) for key in keys)
    if not all(isinstance(value, list) for value in values):
        return False
    if len({len(value) for value in values}) == 1 and all(map(is_meant, *values)):
        return True
    return _took_over(base, ours, theirs, joined) and _took_over(base, theirs, ours, joined)


def _took_over(base: list[Any], ours: list[Any], theirs: list[Any], joined: list[Any]) -> bool:
    """Whether every row that went or came from ours to the joined list went or came with theirs.

    Asked both ways: an edit of theirs that was lost went from theirs to the joined list, but not with ours.
    """
    (gone, came), (may_go, may_come) = _moved(ours, joined), _moved(base, theirs)
    return gone <= may_go and came <= may_come


def _moved(before: list[Any], after: list[Any]) -> tuple[Counter[str], Counter[str]]:
    """The rows that went and the rows that came."""
    one, two = [repr(row) for row in before], [repr(row) for row in after]
    gone: Counter[str] = Counter()
    came: Counter[str] = Counter()
    for tag, start, end, first, last in SequenceMatcher(None, one, two, autojunk=False).get_opcodes():
        if tag != "equal":
            gone.update(one[start:end])
            came.update(two[first:last])
    return gone, came


Lines = Sequence[bytes]


@dataclass(frozen=True, slots=True)
class LineEdit:
    """Base lines `start` up to `end` become these; `reach` is every place where that may have been meant."""

    start: int
    end: int
    lines: tuple[bytes, ...]
    reach: tuple[int, int]

    def is_same_as(self, other: "LineEdit") -> bool:
        """Whether both sides did the very same."""
        return (self.start, self.end, self.lines) == (other.start, other.end, other.lines)

    def meets(self, other: "LineEdit") -> bool:
        """Whether the two cannot both be done without a choice."""
        return self.reach[0] <= other.reach[1] and other.reach[0] <= self.reach[1]


def merge_lines(base: Lines, ours: Lines, theirs: Lines) -> list[bytes] | None:
    """The base with the edits of both sides, None where they conflict."""
    left, right = edits(base, ours), edits(base, theirs)
    own_left = [a for a in left if not any(a.is_same_as(b) for b in right)]
    own_right = [b for b in right if not any(b.is_same_as(a) for a in left)]
    if any(a.meets(b) for a in own_left for b in own_right):
        return None
    return _applied(base, sorted([*left, *own_right], key=lambda edit: (edit.start, edit.end)))


def edits(base: Lines, side: Lines) -> list[LineEdit]:
    """What a side did to the base, in order; lines replaced by as many others are paired one by one."""
    matcher = SequenceMatcher(None, base, side, autojunk=False)
    done: list[LineEdit] = []
    for tag, start, end, first, last in matcher.get_opcodes():
        if tag != "equal":
            done.extend(_edits_of(base, start, end, tuple(side[first:last])))
    return done


def _edits_of(base: Lines, start: int, end: int, lines: tuple[bytes, ...]) -> Iterator[LineEdit]:
    if end - start == len(lines):
        for n, line in enumerate(lines, start):
            # The gaps within the run belong to it: nothing is put between lines that were exchanged together.
            yield LineEdit(n, n + 1, (line,), (2 * n + 1, 2 * n + 1 + (n + 1 < end)))
    elif not lines:
        low, high = _slide(base, start, end, base[start:end])
        yield LineEdit(start, end, (), (2 * low + 1, 2 * high - 1))
    elif start == end:
        low, high = _slide(base, start, end, lines)
        yield LineEdit(start, end, lines, (2 * low, 2 * high))
    else:
        yield LineEdit(start, end, lines, (2 * start, 2 * end))


def _slide(base: Lines, start: int, end: int, lines: Lines) -> tuple[int, int]:
    """How far lines taken out or put in could as well lie up and down: equal layers look alike."""
    low, high, up, down = start, end, list(lines), list(lines)
    while low > 0 and base[low - 1] == up[-1]:
        up.insert(0, up.pop())
        low -= 1
    while high < len(base) and base[high] == down[0]:
        down.append(down.pop(0))
        high += 1
    return low, high


def _applied(base: Lines, sorted_edits: Sequence[LineEdit]) -> list[bytes]:
    joined: list[bytes] = []
    at = 0
    for edit in sorted_edits:
        joined.extend(base[at : edit.start])
        joined.extend(edit.lines)
        at = edit.end
    return [*joined, *base[at:]]
