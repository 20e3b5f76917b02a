"""A derivation: sections of lines, each with its formula, the numbers put in and the result."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recipe_track.figures.results import Matrix

Result = float | str | Matrix | None


@dataclass(frozen=True, slots=True)
class Value:
    """A symbol, its number and its unit."""

    symbol: str
    number: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """What is stated or worked out: stated values have no formula, a derived one has its inputs in it."""

    what: str
    result: Result
    unit: str = ""
    symbol: str = ""
    formula: str = ""
    inputs: tuple[Value, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class Grid:
    """Numbers in rows under heads, for what is long and alike."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str | float | None, ...], ...]


@dataclass(frozen=True, slots=True)
class Chapter:
    """Lines under one heading, a table before them; `source` is where its formulas come from, in short."""

    title: str
    lines: tuple[Line, ...]
    source: str = ""
    grid: Grid | None = None


@dataclass(frozen=True, slots=True)
class CalculationSheet:
    """The derivation of one zone; `notes` are those of its figures.

    `references` are the documents cited, in short and in full; `data` says of each source of material data
    which materials have it.
    """

    zone: str
    name: str | None
    form: str
    sections: tuple[Chapter, ...]
    notes: tuple[str, ...]
    references: tuple[tuple[str, str], ...] = ()
    data: tuple[tuple[str, str], ...] = ()


def stated(what: str, *values: Value) -> Line:
    """Values that somebody wrote, with their symbols."""
    return Line(what, None, inputs=values)


def derived(what: str, symbol: str, formula: str, result: float, unit: str, *inputs: Value) -> Line:
    """A line whose result follows from its inputs by its formula."""
    return Line(what, result, unit, symbol, formula, inputs)


def rows(matrix: NDArray[np.float64]) -> Matrix:
    """A matrix as tuples; what only rounding has left of a zero is zero."""
    values = np.asarray(matrix)
    return tuple(map(tuple, np.where(np.abs(values) < 1e-13 * np.abs(values).max(), 0.0, values).tolist()))
