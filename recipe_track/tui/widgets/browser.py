"""A list with what is said of the row under the cursor."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from recipe_track.tui.widgets.rows import Column, ListRow, RowList


class Browser(Vertical):
    """The list takes the keys; tab leads to the text, which scrolls."""

    def __init__(self, columns: Sequence[Column], empty: str) -> None:
        super().__init__()
        self._columns, self._empty = tuple(columns), empty

    def compose(self) -> ComposeResult:
        """List above, text below."""
        yield RowList(self._columns, id="list", empty=self._empty)
        with VerticalScroll(id="detail"):
            yield Static(id="detail-text", markup=False)

    @property
    def rows(self) -> RowList:
        """The list."""
        return self.query_one("#list", RowList)

    def show(self, rows: Sequence[ListRow], key: str | None = None) -> None:
        """Other rows; nothing is said while there are none."""
        self.rows.show(rows, key)
        if not rows:
            self.tell(Content(""))

    def tell(self, content: Content) -> None:
        """What is said of the row."""
        self.query_one("#detail", VerticalScroll).scroll_home(animate=False)
        self.query_one("#detail-text", Static).update(content)
