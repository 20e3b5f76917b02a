"""Calculation sheets as a page to print and hand over: a zone a sheet of paper where it fits, no prices."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from recipe_track.figures.working import CalculationSheet, Chapter, Line
from recipe_track.figures.working.weights import COSTS
from recipe_track.present.pages.html import rendered_page
from recipe_track.present.terminal.working import is_number
from recipe_track.present.words.figures import CAUTION
from recipe_track.present.words.plain import visible
from recipe_track.present.words.working import (
    DATA,
    FORMULAS,
    SYMBOL,
    Block,
    Table,
    condensed,
    document_lines,
    matrix_rows,
    result_words,
    value_words,
    with_numbers,
)

_POWER = re.compile(r"\^(−?[\d.]+)")
_PARTS = re.compile(r"(use|EA|EI|Σ∫|[A-Za-zΑ-ωΣ](?:̄|\*)?)(.*)", re.DOTALL)  # a symbol and its index
COSTS_LEFT_OUT = "Costs are no part of this sheet."


@dataclass(frozen=True, slots=True)
class Head:
    """What stands above every sheet: yard, craft, revision."""

    yard: str
    craft: str
    revision: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A line, a matrix or a table of a chapter, as it is drawn."""

    what: str
    equation: Markup
    rows: tuple[tuple[tuple[str, bool], ...], ...] = ()
    heads: tuple[tuple[Markup, bool], ...] = ()
    unit: str = ""
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """A chapter as it is drawn."""

    title: str
    source: str
    pieces: tuple[Piece, ...]
    across: bool


def working_page(sheets: Sequence[CalculationSheet], head: Head, paper: str = "a4") -> str:
    """The whole page, a zone after the other, each from the top of a sheet."""
    return rendered_page(
        "working.html",
        title=f"Calculation sheet {head.craft} {head.revision}",
        paper=f"{paper} portrait",
        marks=(),
        footer=f"Calculation sheet · {head.craft} {head.revision} · {CAUTION}",
        head=head,
        sheets=[_sheet(sheet) for sheet in sheets],
        formulas=FORMULAS,
        data=DATA,
        left_out=COSTS_LEFT_OUT,
    )


def _sheet(sheet: CalculationSheet) -> dict[str, object]:
    return {
        "zone": sheet.zone,
        "name": sheet.name or "",
        "form": sheet.form,
        "sections": [_section(one) for one in sheet.sections if one.title != COSTS],
        "references": tuple(document_lines(sheet)),
        "data": sheet.data,
        "notes": sheet.notes,
    }


def _section(chapter: Chapter) -> Section:
    """A chapter; one with matrices or a wide table goes across the sheet."""
    drawn = tuple(map(_piece, condensed(chapter)))
    across = any((piece.rows and not piece.heads) or piece.wide for piece in drawn)
    return Section(chapter.title, chapter.source, drawn, across)


def _piece(piece: Line | Table | Block) -> Piece:
    if isinstance(piece, Block):
        formulas = Markup("").join(
            Markup("<span>{}</span> ").format(_formula(one)) for one in piece.equations
        )
        return Piece("", formulas, _cells(piece.table), _heads(piece.table, _symbols), wide=True)
    if isinstance(piece, Table):
        formula = _formula(piece.equation) if piece.equation is not None else Markup("")
        set_heads = _symbols if piece.equation is not None else escape
        return Piece("", formula, _cells(piece), _heads(piece, set_heads))
    cells = tuple(tuple((cell, True) for cell in row) for row in matrix_rows(piece))
    return Piece(piece.what, _equation(piece), cells, unit=piece.unit if cells else "")


def _heads(table: Table, drawn: Callable[[str], Markup]) -> tuple[tuple[Markup, bool], ...]:
    """The heads, each with whether its column holds numbers."""
    columns = zip(*table.rows, strict=True)
    return tuple(
        (drawn(head), any(map(is_number, column))) for head, column in zip(table.heads, columns, strict=True)
    )


def _cells(table: Table) -> tuple[tuple[tuple[str, bool], ...], ...]:
    return tuple(tuple((cell, is_number(cell)) for cell in row) for row in table.rows)


def _formula(line: Line) -> Markup:
    """`E1 = φ · Ef + …` with its symbols set as symbols."""
    return _joined([_symbols(line.symbol), *([_set(line.formula)] if line.formula else [])])


def _joined(sides: Sequence[Markup]) -> Markup:
    return Markup(" = ").join(side for side in sides if side)


def _equation(line: Line) -> Markup:
    if line.inputs and not line.formula:
        words = [escape(visible(line.result))] if isinstance(line.result, str) else []
        return Markup("; ").join([*words, *(_value(value_words(value)) for value in line.inputs)])
    sides = [_formula(line), *_numbers(line)]
    if not isinstance(line.result, tuple):
        sides.append(escape(result_words(line)))
    return _joined(sides)


def _value(words: str) -> Markup:
    symbol, _, rest = words.partition(" = ")
    return _symbols(symbol) + Markup(" = ") + escape(visible(rest))


def _numbers(line: Line) -> Iterator[Markup]:
    if line.inputs and SYMBOL.sub("", line.formula):
        yield _powers(escape(with_numbers(line, lambda text: text)))


def _set(formula: str) -> Markup:
    """A formula with its symbols in italics, indices low and powers high."""
    placed: list[Markup | str] = []
    for n, piece in enumerate(SYMBOL.split(formula)):
        placed.append(symbol(piece) if n % 2 else _powers(escape(visible(piece))))
    return Markup("").join(placed)


def _powers(text: Markup) -> Markup:
    return Markup(_POWER.sub(r"<sup>\1</sup>", str(text)))


def _symbols(text: str) -> Markup:
    """`E1 = E2`, or the head of a column, `ρf [kg/m³]`."""
    name, bracket, unit = visible(text).partition(" [")
    if " " in name.replace(" = ", "="):
        return escape(visible(text))
    return Markup(" = ").join(map(symbol, name.split(" = "))) + escape(f"{bracket}{unit}")


def symbol(name: str) -> Markup:
    """A symbol with its index low: `E1°` is E with index 1 and the sign of an estimate."""
    found = _PARTS.fullmatch(visible(name))
    if found is None:
        return escape(visible(name))
    letter, index = found.groups()
    raised = "°" if index.endswith("°") else ""
    low = Markup("<sub>{}</sub>").format(index.removesuffix("°")) if index.removesuffix("°") else Markup("")
    return Markup("<i>{}</i>").format(letter) + low + escape(raised)
