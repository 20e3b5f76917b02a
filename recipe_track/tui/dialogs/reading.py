"""A page to read."""

from collections.abc import Iterator
from itertools import groupby
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from recipe_track.tui.plaintext import plain


class ReadingDialog(ModalScreen[None]):
    """Scrolls with the arrow and page keys; any of the leaving keys closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,enter", "leave", "close")]

    def __init__(self, title: str, content: Content) -> None:
        super().__init__()
        self._title, self._content = title, content

    def compose(self) -> ComposeResult:
        """Title, text, keys."""
        with Vertical(id="dialog"):
            yield Static(plain(self._title, "bold"), id="dialog-title")
            with VerticalScroll(id="page"):
                for indent, block in blocks(self._content):
                    shown = Static(block, markup=False)
                    shown.styles.padding = (0, 0, 0, indent)
                    yield shown
            yield Static(plain("↑ ↓ scroll · esc closes", "$text-muted"), id="dialog-keys")

    def on_mount(self) -> None:
        """The text takes the keys."""
        self.query_one("#page").focus()

    def action_leave(self) -> None:
        """Close."""
        self.dismiss(None)


def blocks(content: Content) -> Iterator[tuple[int, Content]]:
    """Neighbouring lines that start equally far in, so that what is folded keeps their indent."""
    rows = [
        (row, len(row.plain) - len(row.plain.lstrip(" "))) for row in content.split("\n", allow_blank=True)
    ]
    for indent, block in groupby(rows, key=lambda row: row[1]):
        yield indent, Content("\n").join(row[indent:] for row, _ in block)
