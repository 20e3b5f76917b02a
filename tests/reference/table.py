"""Print the table of reference cases as Markdown: `python -m tests.reference.table`."""

import numpy as np

from tests.reference.case import Case
from tests.reference.cases import CASES

HEADING = "| case | quantity | source | status | expected | ours | difference | tolerance |"


def row(case: Case) -> str:
    """One line; of a matrix or list the entry that differs most is shown."""
    ours = case.computed()
    worst = np.unravel_index(np.abs(ours - case.expected).argmax(), case.expected.shape)
    where = f" [{', '.join(str(int(index) + 1) for index in worst)}]" if case.expected.shape else ""
    cells = (
        case.id,
        f"{case.quantity}{where}",
        case.source,
        f"{case.status}, {'published' if case.basis == 'published' else 'independent calculation'}",
        f"{case.expected[worst]:.6g}",
        f"{ours[worst]:.6g}",
        f"{case.difference():.1e}",
        f"{case.tolerance:.0e}" + (f" ({case.remark})" if case.remark else ""),
    )
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def table() -> str:
    """The whole table, in the order of the groups."""
    rule = "|" + " --- |" * HEADING.count(" | ") + " --- |"
    return "\n".join([HEADING, rule, *(row(case) for case in CASES)])


if __name__ == "__main__":
    print(table())
