"""The calculation sheet of a zone as text for a terminal and as Markdown."""

import re
from collections.abc import Iterator
from textwrap import wrap

from recipe_track.figures.results import Matrix
from recipe_track.figures.working import CalculationSheet, Chapter, Line, Value
from recipe_track.present.words.figures import CAUTION
from recipe_track.present.words.plain import visible
from recipe_track.present.words.units import digits

SYMBOL = re.compile(r"\{([^{}]*)\}")
# What Markdown and the HTML within it give a meaning to; a backslash takes it away.
MEANINGFUL = re.compile(r"([\\`*_{}\[\]()<>#+\-.!|~&$^=:@])")


def working_text(sheet: CalculationSheet, width: int = 80) -> str:
    """The sheet as plain text of at most `width` columns, where words allow it."""
    lines = [f"Calculation sheet of {_titled(sheet)}"]
    for number, section in enumerate(sheet.sections, start=1):
        lines += ["", f"{number}  {visible(section.title)}", *_wrapped(_source(section.source), width, 3)]
        for line in section.lines:
            lines += _wrapped(_line_text(line), width, 3)
            lines += _matrix_text(line)
    lines += ["", *(text for note in sheet.notes for text in _wrapped(f"note: {visible(note)}", width, 0))]
    return "\n".join([*lines, *_wrapped(CAUTION, width, 0)]) + "\n"


def _titled(sheet: CalculationSheet) -> str:
    name = f", {visible(sheet.name)}" if sheet.name else ""
    return f"{visible(sheet.zone)}{name} ({sheet.form})"


def _source(source: str) -> str:
    return f"source: {visible(source)}" if source else ""


def _wrapped(text: str, width: int, indent: int) -> list[str]:
    lead = " " * indent
    return wrap(text, width, initial_indent=lead, subsequent_indent=lead + "    ", break_on_hyphens=False)


def _line_text(line: Line) -> str:
    parts = [visible(line.what) + ":" if line.what else "", *_equation(line)]
    if line.source:
        parts.append(f"[{visible(line.source)}]")
    return " ".join(part for part in parts if part)


def _equation(line: Line) -> Iterator[str]:
    """`E1 = φ · Ef + … = 0.48 · 73 + … = 36.9 GPa`, as far as the line has these."""
    sides = [visible(line.symbol), *_formula_sides(line)]
    if not isinstance(line.result, tuple):
        sides.append(_result(line))
    yield " = ".join(side for side in sides if side)


def _formula_sides(line: Line) -> Iterator[str]:
    if line.formula:
        yield SYMBOL.sub(r"\1", line.formula)
    if line.inputs:
        numbers = {value.symbol: _number_in(value) for value in line.inputs}
        yield SYMBOL.sub(lambda found: numbers[found.group(1)], line.formula)


def _number_in(value: Value) -> str:
    """A number within a formula; a negative one in brackets."""
    text = digits(value.number)
    return f"({text})" if text.startswith("−") else text


def _result(line: Line) -> str:
    if line.result is None:
        return "–"
    text = line.result if isinstance(line.result, str) else digits(_single(line.result))
    return visible(f"{text} {line.unit}".rstrip())


def _single(result: float | Matrix) -> float:
    assert not isinstance(result, tuple)
    return result


def _matrix_text(line: Line) -> Iterator[str]:
    if isinstance(line.result, tuple):
        cells = [[digits(number) for number in row] for row in line.result]
        width = max(len(cell) for row in cells for cell in row)
        for n, row in enumerate(cells):
            unit = f"  {line.unit}" if line.unit and n == len(cells) - 1 else ""
            yield f"       [ {'  '.join(cell.rjust(width) for cell in row)} ]{unit}"


def working_markdown(sheet: CalculationSheet) -> str:
    """The sheet as Markdown: a heading and a table per section."""
    blocks = [f"# Calculation sheet of {_plain(_titled(sheet))}"]
    for number, section in enumerate(sheet.sections, start=1):
        blocks.append(f"## {number} {_plain(section.title)}")
        if section.source:
            blocks.append(_plain(f"source: {section.source}"))
        blocks.append("\n".join(_table(section)))
    blocks += [f"- {_plain(note)}" for note in sheet.notes]
    return "\n\n".join([*blocks, _plain(CAUTION)]) + "\n"


def _table(section: Chapter) -> Iterator[str]:
    yield "| what | derivation | result | source |"
    yield "| --- | --- | --- | --- |"
    for line in section.lines:
        sides = " = ".join(side for side in (visible(line.symbol), *_formula_sides(line)) if side)
        result = _matrix_words(line) if isinstance(line.result, tuple) else _result(line)
        yield f"| {_plain(line.what)} | {_plain(sides)} | {_plain(result)} | {_plain(line.source)} |"


def _matrix_words(line: Line) -> str:
    assert isinstance(line.result, tuple)
    rows = "; ".join(", ".join(map(digits, row)) for row in line.result)
    return f"{rows} {line.unit}".rstrip()


def _plain(text: str) -> str:
    """Text that Markdown shows as it is, on one line."""
    return MEANINGFUL.sub(r"\\\1", visible(" ".join(text.split())))
