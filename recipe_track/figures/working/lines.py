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
    """What is stated or worked out: an input has a source and no formula, a derived value a formula."""

    what: str
    result: Result
    unit: str = ""
    symbol: str = ""
    formula: str = ""
    inputs: tuple[Value, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class Chapter:
    """Lines under one heading; `source` is where its formulas come from."""

    title: str
    lines: tuple[Line, ...]
    source: str = ""


@dataclass(frozen=True, slots=True)
class CalculationSheet:
    """The derivation of one zone; `notes` are those of its figures."""

    zone: str
    name: str | None
    form: str
    sections: tuple[Chapter, ...]
    notes: tuple[str, ...]


def derived(what: str, symbol: str, formula: str, result: float, unit: str, *inputs: Value) -> Line:
    """A line whose result follows from its inputs by its formula."""
    return Line(what, result, unit, symbol, formula, inputs)


def rows(matrix: NDArray[np.float64]) -> Matrix:
    """A matrix as tuples; what only rounding has left of a zero is zero."""
    values = np.asarray(matrix)
    return tuple(map(tuple, np.where(np.abs(values) < 1e-13 * np.abs(values).max(), 0.0, values).tolist()))
