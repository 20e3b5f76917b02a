"""Two edits of one recipe file joined, but only to a file that is valid and says what both sides meant."""

from collections import Counter
from collections.abc import Sequence
from difflib import SequenceMatcher
from typing import Any

import tomli

from recipe_track.textfiles.read import read_file
from recipe_track.textfiles.three_way import merge_lines

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
