"""The calculation sheet of a zone as text for a terminal and as Markdown."""

import re
from collections.abc import Iterator, Sequence
from textwrap import wrap

from recipe_track.figures.working import CalculationSheet, Line
from recipe_track.present.words.figures import CAUTION
from recipe_track.present.words.plain import visible
from recipe_track.present.words.working import (
    DATA,
    FORMULAS,
    SOURCES,
    Table,
    document_lines,
    equation,
    formula_words,
    matrix_rows,
    pieces,
    titled,
)

# What Markdown and the HTML within it give a meaning to; a backslash takes it away.
MEANINGFUL = re.compile(r"([\\`*_{}\[\]()<>#+\-.!|~&$^=:@])")
NARROWEST_NAME = 14


def working_text(sheet: CalculationSheet, width: int = 80) -> str:
    """The sheet as plain text of at most `width` columns, where words allow it."""
    lines = [f"Calculation sheet of {titled(sheet)}"]
    for number, section in enumerate(sheet.sections, start=1):
        lines += ["", f"{number}  {visible(section.title)}", *_wrapped(_source(section.source), width, 3)]
        for piece in pieces(section):
            lines += _table_text(piece, width) if isinstance(piece, Table) else _line_text(piece, width)
    lines += ["", *_sources_text(sheet, width)]
    lines += ["", *(text for note in sheet.notes for text in _wrapped(f"note: {visible(note)}", width, 0))]
    return "\n".join([*lines, *_wrapped(CAUTION, width, 0)]) + "\n"


def _source(source: str) -> str:
    return f"by {visible(source)}" if source else ""


def _sources_text(sheet: CalculationSheet, width: int) -> Iterator[str]:
    for title, listed in ((FORMULAS, tuple(document_lines(sheet))), (DATA, sheet.data)):
        if listed:
            yield f"{SOURCES} {title}"
            for name, full in listed:
                yield from _wrapped(f"{visible(name)}: {visible(full)}", width, 3)


def _wrapped(text: str, width: int, indent: int) -> list[str]:
    lead = " " * indent
    return wrap(text, width, initial_indent=lead, subsequent_indent=lead + "    ", break_on_hyphens=False)


def _line_text(line: Line, width: int) -> Iterator[str]:
    what = visible(line.what) + ":" if line.what else ""
    source = f"[{visible(line.source)}]" if line.source else ""
    yield from _wrapped(" ".join(part for part in (what, equation(line), source) if part), width, 3)
    yield from _matrix_text(line)


def _matrix_text(line: Line) -> Iterator[str]:
    cells = matrix_rows(line)
    width = max((len(cell) for row in cells for cell in row), default=0)
    for n, row in enumerate(cells):
        unit = f"  {visible(line.unit)}" if line.unit and n == len(cells) - 1 else ""
        yield f"       [ {'  '.join(cell.rjust(width) for cell in row)} ]{unit}"


def _table_text(table: Table, width: int) -> Iterator[str]:
    """The formula, then columns of what goes into it and what it gives, in bands where they are too many."""
    if table.equation is not None:
        yield from _wrapped(formula_words(table.equation), width, 3)
    listed = (table.heads, *table.rows)
    widths = [max(len(row[n]) for row in listed) for n in range(len(table.heads))]
    for band in _bands(widths, width - 6):
        rest = [widths[n] for n in band]
        first = min(widths[0], max(width - 6 - sum(rest) - 2 * len(rest), NARROWEST_NAME))
        for row in listed:
            yield from _row_text((row[0], *(row[n] for n in band)), first, rest)


def _bands(widths: Sequence[int], room: int) -> Iterator[list[int]]:
    """Columns beside the first that stand together; each band repeats the first, wrapped if need be."""
    band: list[int] = []
    taken = min(widths[0], NARROWEST_NAME)
    for n, width in enumerate(widths[1:], start=1):
        if band and taken + width + 2 > room:
            yield band
            band, taken = [], min(widths[0], NARROWEST_NAME)
        band.append(n)
        taken += width + 2
    yield band


def _row_text(row: Sequence[str], first: int, rest: Sequence[int]) -> Iterator[str]:
    names = wrap(row[0], first, break_on_hyphens=False) or [""]
    cells = "  ".join(_aligned(cell, n) for cell, n in zip(row[1:], rest, strict=True))
    yield from (f"      {name}" for name in names[:-1])
    yield f"      {names[-1].ljust(first)}  {cells}".rstrip()


def _aligned(cell: str, width: int) -> str:
    return cell.rjust(width) if is_number(cell) else cell.ljust(width)


def is_number(cell: str) -> bool:
    """Whether a cell holds a number and nothing else."""
    return re.fullmatch(r"−?[\d.]+(e[+−]?\d+)?", cell) is not None


def working_markdown(sheet: CalculationSheet) -> str:
    """The sheet as Markdown: a heading per section, equations as a list, one formula for many as a table."""
    blocks = [f"# Calculation sheet of {_plain(titled(sheet))}"]
    for number, section in enumerate(sheet.sections, start=1):
        blocks.append(f"## {number} {_plain(section.title)}")
        if section.source:
            blocks.append(_plain(_source(section.source)))
        for piece in pieces(section):
            blocks += _table_blocks(piece) if isinstance(piece, Table) else [_item(piece)]
    for title, listed in ((FORMULAS, tuple(document_lines(sheet))), (DATA, sheet.data)):
        if listed:
            blocks.append(f"## {_plain(f'{SOURCES} {title}')}")
            blocks.append("\n".join(f"- {_plain(f'{name}: {full}')}" for name, full in listed))
    blocks += [f"- {_plain(note)}" for note in sheet.notes]
    return "\n\n".join([*blocks, _plain(CAUTION)]) + "\n"


def _item(line: Line) -> str:
    rows = "; ".join(", ".join(row) for row in matrix_rows(line))
    matrix = f" = [{rows}] {line.unit}".rstrip() if rows else ""
    source = f" [{line.source}]" if line.source else ""
    what = f"{line.what}: " if line.what else ""
    return f"- {_plain(f'{what}{equation(line)}{matrix}{source}')}"


def _table_blocks(table: Table) -> list[str]:
    head = [_plain(formula_words(table.equation))] if table.equation is not None else []
    rows = [table.heads, *table.rows]
    lines = [f"| {' | '.join(map(_plain, row))} |" for row in rows]
    ruler = f"|{'|'.join(' --- ' for _ in table.heads)}|"
    return [*head, "\n".join([lines[0], ruler, *lines[1:]])]


def _plain(text: str) -> str:
    """Text that Markdown shows as it is, on one line."""
    return MEANINGFUL.sub(r"\\\1", visible(" ".join(text.split())))
