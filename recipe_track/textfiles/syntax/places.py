"""From a key path or an offset to line and column; used only when there is a problem to report."""

import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from recipe_track.errors import Fault, Key, Problem
from recipe_track.textfiles.syntax.cursor import Extent
from recipe_track.textfiles.syntax.decoding import decode
from recipe_track.textfiles.syntax.grammar import Parsed, read_toml
from recipe_track.textfiles.syntax.parsing import parse


@dataclass(frozen=True, slots=True)
class Span:
    """A piece of text: line and column of its first character from 1, its length, its offset from 0."""

    line: int
    column: int
    length: int
    start: int


@dataclass(frozen=True, slots=True)
class Place:
    """Where a key stands and where its value stands; both are the value for an element of a list."""

    key: Span
    value: Span


def positions(text: str) -> dict[Key, Place]:
    """The place of every table, key, value and element of a text that tomli accepts."""
    text = text.replace("\r\n", "\n")
    starts = _line_starts(text)
    places = read_toml(text, valid=True).places
    return {key: Place(_span(starts, name), _span(starts, value)) for key, (name, value) in places.items()}


def locate(fault: Fault, data: bytes) -> Problem:
    """The fault at its place in a file, sound or broken, or at its nearest parent, else the file itself."""
    shown, parsed = _read(data)
    return problem_at(fault, shown, extent_of(fault, parsed.places))


def extent_of(fault: Fault, places: Mapping[Key, tuple[Extent, Extent]]) -> Extent | None:
    """Where a fault stands; a key that is missing stands at the table that lacks it."""
    for depth in range(len(fault.key), 0, -1):
        place = places.get(fault.key[:depth])
        if place is not None:
            return place[0] if depth == len(fault.key) and fault.at == "key" else place[1]
    return None


def problem_at(fault: Fault, text: str, extent: Extent | None) -> Problem:
    """A fault at an offset of a text, with its line; what reaches over the line is cut to it.

    What is missing in the whole file stands at its beginning, where an editor can go.
    """
    nowhere = unplaced(fault)
    if extent is None:
        return replace(nowhere, line=1, column=1)
    starts = _line_starts(text)
    span = _span(starts, extent)
    end = starts[span.line] - 1 if span.line < len(starts) else len(text)
    line = text[starts[span.line - 1] : end]
    length = max(1, min(span.length, len(line) - span.column + 1))
    return replace(nowhere, line=span.line, column=span.column, excerpt=line, length=length)


def unplaced(fault: Fault) -> Problem:
    """A fault of a file that is not there to point into."""
    return Problem(
        fault.file, None, None, fault.code, fault.message, fault.hint, key=fault.key, name=fault.name
    )


@lru_cache(maxsize=4)  # a file with many problems is gone through once
def _read(data: bytes) -> tuple[str, Parsed]:
    decoded = decode(data)
    return decoded.shown, parse(decoded)


@lru_cache(maxsize=4)
def _line_starts(text: str) -> tuple[int, ...]:
    return (0, *(match.end() for match in re.finditer("\n", text)))


def _span(starts: Sequence[int], extent: Extent) -> Span:
    line = bisect_right(starts, extent[0])
    return Span(line, extent[0] - starts[line - 1] + 1, extent[1] - extent[0], extent[0])
