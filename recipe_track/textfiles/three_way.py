"""Two edits of one text joined line by line, finer than git: neighbouring lines may change on two sides.

Lines and the gaps between them stand on one axis: gap g at 2g, line n at 2n + 1. Every edit has a reach on
it, and two edits whose reaches meet are a conflict unless they are the same edit.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

Lines = Sequence[bytes]


@dataclass(frozen=True, slots=True)
class Edit:
    """Base lines `start` up to `end` become these; `reach` is every place where that may have been meant."""

    start: int
    end: int
    lines: tuple[bytes, ...]
    reach: tuple[int, int]

    def is_same_as(self, other: "Edit") -> bool:
        """Whether both sides did the very same."""
        return (self.start, self.end, self.lines) == (other.start, other.end, other.lines)

    def meets(self, other: "Edit") -> bool:
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


def edits(base: Lines, side: Lines) -> list[Edit]:
    """What a side did to the base, in order; lines replaced by as many others are paired one by one."""
    matcher = SequenceMatcher(None, base, side, autojunk=False)
    found: list[Edit] = []
    for tag, start, end, first, last in matcher.get_opcodes():
        if tag != "equal":
            found.extend(_edits_of(base, start, end, tuple(side[first:last])))
    return found


def _edits_of(base: Lines, start: int, end: int, lines: tuple[bytes, ...]) -> Iterator[Edit]:
    if end - start == len(lines):
        for n, line in enumerate(lines, start):
            # The gaps within the run belong to it: nothing is put between lines that were exchanged together.
            yield Edit(n, n + 1, (line,), (2 * n + 1, 2 * n + 1 + (n + 1 < end)))
    elif not lines:
        low, high = _slide(base, start, end, base[start:end])
        yield Edit(start, end, (), (2 * low + 1, 2 * high - 1))
    elif start == end:
        low, high = _slide(base, start, end, lines)
        yield Edit(start, end, lines, (2 * low, 2 * high))
    else:
        yield Edit(start, end, lines, (2 * start, 2 * end))


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


def _applied(base: Lines, sorted_edits: Sequence[Edit]) -> list[bytes]:
    joined: list[bytes] = []
    at = 0
    for edit in sorted_edits:
        joined.extend(base[at : edit.start])
        joined.extend(edit.lines)
        at = edit.end
    return [*joined, *base[at:]]
