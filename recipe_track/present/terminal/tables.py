"""Tables for a terminal: every cell is text, and nothing in it is markup."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.table import Table
from rich.text import Text


@dataclass(frozen=True, slots=True)
class TableColumn:
    """A column by its head: numbers stand to the right; what does not `fold` is never broken."""

    head: str
    right: bool = False
    fold: bool = True
    ratio: int | None = None


def table(
    columns: Iterable[TableColumn], rows: Iterable[Sequence[str]], apart: int = 2, below: int = 0
) -> Table:
    """A table without lines, its columns so many spaces apart, so many empty lines below each row."""
    drawn = Table(box=None, pad_edge=False, padding=(0, apart, below, 0))
    for column in columns:
        drawn.add_column(
            Text(column.head),
            justify="right" if column.right else "left",
            overflow="fold" if column.fold else "ellipsis",
            no_wrap=not column.fold,
            ratio=column.ratio,
        )
    for row in rows:
        drawn.add_row(*map(Text, row))
    return drawn


def words_columns(*heads: str) -> list[TableColumn]:
    """Columns of words."""
    return [TableColumn(head) for head in heads]


def number_columns(*heads: str) -> list[TableColumn]:
    """Columns of numbers after a first one of words, none of them broken."""
    return [TableColumn(heads[0]), *(TableColumn(head, right=True, fold=False) for head in heads[1:])]
