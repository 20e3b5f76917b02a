"""The calculation sheet in words: equations with their numbers, and tables of what one formula gives."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from recipe_track.figures.working import CalculationSheet, Chapter, Grid, Line, Value
from recipe_track.present.words.plain import visible
from recipe_track.present.words.units import digits

SYMBOL = re.compile(r"\{([^{}]*)\}")
FROM_MEMORY = "cited from memory, none was at hand"
SOURCES = "Sources"
FORMULAS, DATA = f"of formulas, {FROM_MEMORY}", "of material data"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of numbers under heads; `equation` is the formula that gives the last of each row."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    equation: Line | None = None


@dataclass(frozen=True, slots=True)
class Block:
    """Formulas of one table: a row a name, a column for whatever goes in or comes out."""

    equations: tuple[Line, ...]
    table: Table


def titled(sheet: CalculationSheet) -> str:
    """`deck/side, Side decks (plate)`."""
    name = f", {visible(sheet.name)}" if sheet.name else ""
    return f"{visible(sheet.zone)}{name} ({sheet.form})"


def pieces(chapter: Chapter) -> Iterator[Line | Table]:
    """A chapter's table, its lines, and tables in the place of lines that follow by one formula."""
    if chapter.grid is not None:
        yield grid_table(chapter.grid)
    for _, group in groupby(chapter.lines, key=_formula):
        lines = list(group)
        if len(lines) > 1 and lines[0].formula and lines[0].inputs:
            yield _run(lines)
        else:
            yield from lines


def condensed(chapter: Chapter) -> Iterator[Line | Table | Block]:
    """The same for wide paper: formulas that follow each other for the same names share one table."""
    if chapter.grid is not None:
        yield grid_table(chapter.grid)
    block: list[list[Line]] = []
    for _, group in groupby(chapter.lines, key=_formula):
        lines = list(group)
        known = {line.what for earlier in block for line in earlier}
        follows = bool(lines[0].formula and lines[0].inputs)
        if not follows or (block and known.isdisjoint(line.what for line in lines)):
            yield from _flushed(block)
            block = []
        if follows:
            block.append(lines)
        else:
            yield from lines
    yield from _flushed(block)


def _flushed(block: Sequence[Sequence[Line]]) -> Iterator[Line | Table | Block]:
    lines = [line for group in block for line in group]
    if len(block) > 1 and len(lines) > 2:
        yield Block(tuple(group[0] for group in block), _wide(lines))
        return
    for group in block:
        if len(group) > 1:
            yield _run(group)
        else:
            yield from group


def _wide(lines: Sequence[Line]) -> Table:
    columns = dict.fromkeys(head for line in lines for head, _ in _numbers_of(line))
    rows: dict[str, dict[str, str]] = {}
    for line in lines:
        rows.setdefault(visible(line.what), {}).update(_numbers_of(line))
    cells = tuple((name, *(row.get(head, "") for head in columns)) for name, row in rows.items())
    return Table(("", *columns), cells)


def _numbers_of(line: Line) -> list[tuple[str, str]]:
    given = [(_head(value.symbol, value.unit), digits(value.number)) for value in line.inputs]
    return [*given, (_head(line.symbol, line.unit), digits(single(line)))]


def _formula(line: Line) -> tuple[str, ...]:
    of = (f"{value.symbol} {value.unit}" for value in line.inputs)
    return (line.symbol, line.formula, line.unit, *of)


def grid_table(grid: Grid) -> Table:
    """A table as it is shown."""
    return Table(tuple(map(visible, grid.heads)), tuple(tuple(map(_cell, row)) for row in grid.rows))


def _cell(value: str | float | None) -> str:
    if value is None:
        return ""
    return visible(value) if isinstance(value, str) else digits(value)


def _run(lines: Sequence[Line]) -> Table:
    """Numbers and result of each line; what is the same in all of them stands there all the same."""
    first = lines[0]
    heads = (
        "",
        *(_head(value.symbol, value.unit) for value in first.inputs),
        _head(first.symbol, first.unit),
    )
    rows = [
        (visible(line.what), *(digits(value.number) for value in line.inputs), digits(single(line)))
        for line in lines
    ]
    return Table(heads, tuple(rows), first)


def _head(symbol: str, unit: str) -> str:
    return visible(f"{symbol} [{unit}]" if unit else symbol)


def single(line: Line) -> float:
    """The one number that a line results in."""
    assert isinstance(line.result, float | int)
    return line.result


def formula_words(line: Line) -> str:
    """`E1 = φ · Ef + …`, without numbers."""
    return " = ".join(side for side in (visible(line.symbol), SYMBOL.sub(r"\1", line.formula)) if side)


def equation(line: Line) -> str:
    """`E1 = φ · Ef + … = 0.48 · 73 + … = 36.9 GPa`, as far as the line has these; stated values by symbol."""
    if line.inputs and not line.formula:
        words = [line.result] if isinstance(line.result, str) else []
        return "; ".join(map(visible, [*words, *map(value_words, line.inputs)]))
    sides = [visible(line.symbol), *_formula_sides(line)]
    if not isinstance(line.result, tuple):
        sides.append(result_words(line))
    return " = ".join(side for side in sides if side)


def value_words(value: Value) -> str:
    """`ρf = 2560 kg/m³`."""
    return f"{value.symbol} = {digits(value.number)} {value.unit}".rstrip()


def _formula_sides(line: Line) -> Iterator[str]:
    if line.formula:
        yield SYMBOL.sub(r"\1", line.formula)
    if line.inputs and SYMBOL.sub("", line.formula):  # of one value alone the result says it
        yield with_numbers(line, lambda text: text)


def with_numbers(line: Line, shown: Callable[[str], str]) -> str:
    """The formula with the numbers in the place of their symbols; a negative one in brackets."""
    numbers = {value.symbol: digits(value.number) for value in line.inputs}
    bracketed = {name: f"({text})" if text.startswith("−") else text for name, text in numbers.items()}
    return SYMBOL.sub(lambda found: shown(bracketed[found.group(1)]), line.formula)


def result_words(line: Line) -> str:
    """The result with its unit."""
    if line.result is None:
        return "–"
    text = line.result if isinstance(line.result, str) else digits(single(line))
    return visible(f"{text} {line.unit}".rstrip())


def matrix_rows(line: Line) -> list[list[str]]:
    """The rows of a matrix as they are shown; none where the result is none."""
    return (
        [[digits(number) for number in row] for row in line.result] if isinstance(line.result, tuple) else []
    )


def document_lines(sheet: CalculationSheet) -> Iterator[tuple[str, str]]:
    """Every source once: the documents of the formulas in full, then what material data come from."""
    yield from ((visible(name), visible(full)) for name, full in sheet.references)
