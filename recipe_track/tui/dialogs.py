"""Dialogs to choose from and to read: each returns a value, or None when it is left."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from recipe_track.tui.background import Resting
from recipe_track.tui.text import literal
from recipe_track.tui.widgets.rows import ListColumn, ListRow, RowList

_TYPED = "\x00typed"


class ChoosingDialog(Resting, ModalScreen[str | None]):
    """Returns the key of a row, the text as typed, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "leave it"),
        Binding("enter", "choose", "choose"),
        Binding("down", "walk(1)", "down", show=False, priority=True),
        Binding("up", "walk(-1)", "up", show=False, priority=True),
    ]

    def __init__(
        self, title: str, columns: Sequence[ListColumn], rows: Sequence[ListRow], current: str | None = None,
        typed: str | None = None,
    ) -> None:  # fmt: skip
        super().__init__()
        self._title, self._columns, self._rows = title, tuple(columns), tuple(rows)
        self._current, self._typed = current, typed

    def compose(self) -> ComposeResult:
        """Title, what is typed, the rows, the keys."""
        hint = f"type to find, or {self._typed}" if self._typed else "type to find"
        with Vertical(id="dialog"):
            yield Static(literal(self._title, "bold"), id="dialog-title")
            yield Input(placeholder=hint, id="typed", compact=True)
            yield RowList(self._columns, id="choices")
            yield Static(literal("enter chooses · ↑ ↓ walk · esc leaves it", "$text-muted"), id="dialog-keys")

    def on_mount(self) -> None:
        """The current choice under the cursor."""
        self.query_one("#choices", RowList).show(self._rows, self._current)
        self.query_one("#typed", Input).focus()

    @on(Input.Changed)
    def find(self, event: Input.Changed) -> None:
        """Only rows that hold what was typed; last of all the text itself."""
        wanted = event.value.strip().casefold()
        rows = [row for row in self._rows if wanted in " ".join(row.cells).casefold()]
        rows.sort(key=lambda row: wanted not in (row.key.casefold(), row.cells[0].strip().casefold()))
        if wanted and self._typed:
            blank = [""] * (len(self._columns) - 1)
            place = next(n for n, column in enumerate(self._columns) if column.width == 0)
            cells = [*blank[:place], f"{self._typed}: {event.value.strip()}", *blank[place:]]
            rows.append(ListRow(_TYPED, tuple(cells)))
        self.query_one("#choices", RowList).show(rows, rows[0].key if rows and wanted else None)

    @on(Input.Submitted)
    def action_choose(self) -> None:
        """Leave with the row under the cursor, if there is one."""
        key = self.query_one("#choices", RowList).key
        if key is not None:
            self.dismiss(self.query_one("#typed", Input).value.strip() if key == _TYPED else key)

    def action_walk(self, step: int) -> None:
        """The arrows walk the list while the text keeps the focus."""
        self.query_one("#choices", RowList).action_walk(step)

    def action_leave(self) -> None:
        """Leave without an answer."""
        self.dismiss(None)


class ReadingDialog(Resting, ModalScreen[None]):
    """Scrolls with the arrow and page keys; any of the leaving keys closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,enter", "leave", "close")]

    def __init__(self, title: str, content: Content) -> None:
        super().__init__()
        self._title, self._content = title, content

    def compose(self) -> ComposeResult:
        """Title, text, keys."""
        with Vertical(id="dialog"):
            yield Static(literal(self._title, "bold"), id="dialog-title")
            with VerticalScroll(id="page"):
                for indent, block in _indented(self._content):
                    shown = Static(block, markup=False)
                    shown.styles.padding = (0, 0, 0, indent)
                    yield shown
            yield Static(literal("↑ ↓ scroll · esc closes", "$text-muted"), id="dialog-keys")

    def on_mount(self) -> None:
        """The text takes the keys."""
        self.query_one("#page").focus()

    def action_leave(self) -> None:
        """Close."""
        self.dismiss(None)


def _indented(content: Content) -> Iterator[tuple[int, Content]]:
    """Neighbouring lines that start equally far in, so that what is folded keeps their indent."""
    rows = [
        (row, len(row.plain) - len(row.plain.lstrip(" "))) for row in content.split("\n", allow_blank=True)
    ]
    for indent, block in groupby(rows, key=lambda row: row[1]):
        yield indent, Content("\n").join(row[indent:] for row, _ in block)
