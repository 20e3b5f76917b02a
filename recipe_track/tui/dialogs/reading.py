"""A page to read."""

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
                yield Static(self._content, markup=False)
            yield Static(plain("↑ ↓ scroll · esc closes", "$text-muted"), id="dialog-keys")

    def on_mount(self) -> None:
        """The text takes the keys."""
        self.query_one("#page").focus()

    def action_leave(self) -> None:
        """Close."""
        self.dismiss(None)
