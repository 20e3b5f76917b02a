"""The table of reference cases in DEVELOPERS.md: one line per case and basis, the quantity that differs most.

Run as a module to write it anew; `python -m tests.reference.table` prints every single quantity.
"""

import re
from itertools import groupby
from pathlib import Path

import numpy as np

from tests.reference.case import Case
from tests.reference.cases import CASES

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
PLACE = re.compile(r"(<!-- reference cases -->\n).*?(<!-- end -->)", re.DOTALL)
HEADING = "| case | source (status) | against | quantity that differs most | expected | ours | difference |"
ROUNDING = 1e-9  # below it, a difference is that of the machine's arithmetic and not worth a digit


def shown(value: float, scale: float) -> str:
    """Six digits; what is rounding beside the largest entry is 0."""
    return "0" if abs(value) <= ROUNDING * scale else f"{value:.6g}"


def row(cases: list[Case]) -> str:
    """One line for the cases of one id and basis."""
    worst = max(cases, key=lambda case: case.difference() / case.tolerance)
    ours, scale = worst.computed(), worst.scale or float(np.abs(worst.expected).max())
    at = np.unravel_index(np.abs(ours - worst.expected).argmax(), worst.expected.shape)
    if worst.difference() <= ROUNDING:
        at = np.unravel_index(np.abs(worst.expected).argmax(), worst.expected.shape)
    difference = worst.difference()
    cells = (
        worst.id,
        f"{worst.source} ({worst.status.replace('_', ' ')})",
        "published digits" if worst.basis == "published" else "independent calculation",
        worst.quantity,
        shown(float(worst.expected[at]), scale),
        shown(float(ours[at]), scale),
        f"< {ROUNDING:.0e}" if difference <= ROUNDING else f"{difference:.0e}",
    )
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def table() -> str:
    """The whole table."""
    ordered = sorted(CASES, key=lambda case: (_order(case.id), case.basis))
    groups = groupby(ordered, key=lambda case: (case.id, case.basis))
    rule = "|" + " --- |" * (HEADING.count("|") - 1)
    return "\n".join([HEADING, rule, *(row(list(cases)) for _, cases in groups)])


def _order(case_id: str) -> tuple[str, ...]:
    return tuple(piece.zfill(4) for piece in re.split(r"[.\s]", case_id))


def refreshed(text: str) -> str:
    """DEVELOPERS.md with the table as it is now."""
    return PLACE.sub(lambda found: f"{found[1]}{table()}\n{found[2]}", text)


if __name__ == "__main__":
    DEVELOPERS.write_text(refreshed(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
