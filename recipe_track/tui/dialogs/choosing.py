"""Choose one row of a list, found by typing; where it is allowed, what was typed is an answer too."""

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from recipe_track.tui.plaintext import plain
from recipe_track.tui.widgets.rows import Column, ListRow, RowList

TYPED = "\x00typed"


class ChoosingDialog(ModalScreen[str | None]):
    """Returns the key of a row, the text as typed, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "leave it"),
        Binding("enter", "choose", "choose"),
        Binding("down", "walk(1)", "down", show=False, priority=True),
        Binding("up", "walk(-1)", "up", show=False, priority=True),
    ]

    def __init__(
        self, title: str, columns: Sequence[Column], rows: Sequence[ListRow], current: str | None = None,
        typed: str | None = None,
    ) -> None:  # fmt: skip
        super().__init__()
        self._title, self._columns, self._rows = title, tuple(columns), tuple(rows)
        self._current, self._typed = current, typed

    def compose(self) -> ComposeResult:
        """Title, what is typed, the rows, the keys."""
        hint = f"type to find, or {self._typed}" if self._typed else "type to find"
        with Vertical(id="dialog"):
            yield Static(plain(self._title, "bold"), id="dialog-title")
            yield Input(placeholder=hint, id="typed", compact=True)
            yield RowList(self._columns, id="choices")
            yield Static(plain("enter chooses · ↑ ↓ walk · esc leaves it", "$text-muted"), id="dialog-keys")

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
            rows.append(ListRow(TYPED, tuple(cells)))
        self.query_one("#choices", RowList).show(rows, rows[0].key if rows and wanted else None)

    @on(Input.Submitted)
    def action_choose(self) -> None:
        """Leave with the row under the cursor, if there is one."""
        key = self.query_one("#choices", RowList).key
        if key is not None:
            self.dismiss(self.query_one("#typed", Input).value.strip() if key == TYPED else key)

    def action_walk(self, step: int) -> None:
        """The arrows walk the list while the text keeps the focus."""
        self.query_one("#choices", RowList).action_walk(step)

    def action_leave(self) -> None:
        """Leave without an answer."""
        self.dismiss(None)
