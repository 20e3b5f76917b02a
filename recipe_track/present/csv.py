"""Tables as comma-separated values (RFC 4180) that no spreadsheet takes for formulas."""

import csv
import io
from collections.abc import Iterable, Sequence

from recipe_track.present.plain import visible

Cell = str | float | int | bool | None
# A spreadsheet evaluates a cell that starts so (OWASP, "CSV injection"); full-width forms count in some.
STARTERS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_text(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """A table with its head; lines end in CR LF, numbers are written in full, nothing is empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL)
    writer.writerow(head)
    writer.writerows([cell_text(cell) for cell in row] for row in rows)
    return out.getvalue()


def cell_text(cell: Cell) -> str:
    """One cell; text that a spreadsheet would evaluate gets an apostrophe before it."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return repr(cell)
    acting = cell.lstrip(" \u00a0").startswith(STARTERS)
    return f"'{visible(cell)}" if acting else visible(cell)
