"""From a key path or an offset to line and column; used only when there is a problem to report."""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass

from recipe_track.errors import Fault, Key, Problem
from recipe_track.textfiles.cursor import Extent
from recipe_track.textfiles.grammar import read_toml


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


def locate(fault: Fault, text: str) -> Problem:
    """The fault at its place, or at that of its nearest parent; no line where there is neither."""
    text = text.replace("\r\n", "\n")
    extent = extent_of(fault, read_toml(text, valid=True).places)
    return problem_at(fault.file, text, extent, fault.message, fault.hint)


def extent_of(fault: Fault, places: Mapping[Key, tuple[Extent, Extent]]) -> Extent | None:
    """Where a fault stands; a key that is missing stands at the table that lacks it."""
    for depth in range(len(fault.key), 0, -1):
        place = places.get(fault.key[:depth])
        if place is not None:
            return place[0] if depth == len(fault.key) and fault.at == "key" else place[1]
    return None


def problem_at(file: str, text: str, extent: Extent | None, message: str, hint: str = "") -> Problem:
    """A problem at an offset of a text, with its line; what reaches over the line is cut to it."""
    if extent is None:
        return Problem(file, None, None, message, hint)
    span = _span(_line_starts(text), extent)
    line = text.split("\n")[span.line - 1]
    length = max(1, min(span.length, len(line) - span.column + 1))
    return Problem(file, span.line, span.column, message, hint, line, length)


def _line_starts(text: str) -> list[int]:
    return [0, *(offset + 1 for offset, char in enumerate(text) if char == "\n")]


def _span(starts: list[int], extent: Extent) -> Span:
    line = bisect_right(starts, extent[0])
    return Span(line, extent[0] - starts[line - 1] + 1, extent[1] - extent[0], extent[0])
