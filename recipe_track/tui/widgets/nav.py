"""The line on top: which screen this is, the others, and a word about what is shown."""

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from recipe_track.tui.plaintext import line, plain

SCREENS = ("compare", "history", "trials", "hulls", "changes")


class NavLine(Horizontal):
    """`1 Compare  2 History …` with this screen in brackets, so that it shows without colour."""

    def __init__(self, current: str) -> None:
        super().__init__()
        self._current = current

    def compose(self) -> ComposeResult:
        """Screens left, the note right."""
        items = (_item(n, name, name == self._current) for n, name in enumerate(SCREENS, start=1))
        yield Static(line(*items), id="nav-screens")
        yield Static(id="nav-note", markup=False)

    def note(self, text: str) -> None:
        """What is shown, or what is going on."""
        self.query_one("#nav-note", Static).update(plain(text))


def _item(number: int, name: str, here: bool) -> tuple[str, str]:
    title = f"{number} {name.capitalize()}"
    return (f"[{title}]", "bold $primary") if here else (f" {title} ", "$text-muted")
