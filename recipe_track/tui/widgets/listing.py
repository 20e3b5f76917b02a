"""The one list screen: rows read from the repository, and in full what stands under the cursor."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Generic, TypeVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

from recipe_track.errors import TrackError
from recipe_track.tui.background import WALKING_S, Background
from recipe_track.tui.text import error_page, line, literal
from recipe_track.tui.widgets.rows import ListColumn, ListRow, RowList
from recipe_track.workspace import Workspace

SCREENS = ("compare", "history", "trials", "hulls", "changes")
Whole = TypeVar("Whole")
Item = TypeVar("Item")


@dataclass(frozen=True, slots=True)
class Listing(Generic[Item]):
    """Rows, each with the item it stands for, and a word about all of them."""

    rows: tuple[tuple[ListRow, Item], ...]
    note: str = ""
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Subject(Generic[Whole, Item]):
    """What a list is about: how the whole of it is read, and how its items are shown.

    The page of a row is made at once, or it is a question where it takes the repository to answer it.
    """

    columns: tuple[ListColumn, ...]
    empty: str
    read: Callable[[Workspace], Whole]
    listing: Callable[[Whole], Listing[Item]]
    page: Callable[[Item], Content | Callable[[Workspace], Content]]
    head: Callable[[Whole, Item, int], Content] | None = None


class NavLine(Horizontal):
    """`1 Compare  2 History …` with this screen in brackets, so that it shows without colour."""

    def __init__(self, current: str) -> None:
        super().__init__()
        self._current = current

    def compose(self) -> ComposeResult:
        """Screens left, the note right."""
        items = (_nav_item(n, name, name == self._current) for n, name in enumerate(SCREENS, start=1))
        yield Static(line(*items), id="nav-screens")
        yield Static(id="nav-note", markup=False)

    def note(self, text: str) -> None:
        """What is shown, or what is going on."""
        self.query_one("#nav-note", Static).update(literal(text))


def _nav_item(number: int, name: str, here: bool) -> tuple[str, str]:
    title = f"{number} {name.capitalize()}"
    return (f"[{title}]", "bold $primary") if here else (f" {title} ", "$text-muted")


class Browser(Vertical, Generic[Item]):
    """A list with what is said of the row under the cursor; tab leads to the text, which scrolls."""

    def __init__(self, columns: tuple[ListColumn, ...], empty: str) -> None:
        super().__init__()
        self.rows = RowList(columns, id="list", empty=empty)
        self._items: dict[str, Item] = {}

    def compose(self) -> ComposeResult:
        """List above, text below."""
        yield self.rows
        with VerticalScroll(id="detail"):
            yield Static(id="detail-text", markup=False)

    @property
    def item(self) -> Item | None:
        """What the row under the cursor stands for."""
        key = self.rows.key
        return None if key is None else self._items.get(key)

    def show(self, listing: Listing[Item]) -> None:
        """Other rows; nothing is said while there are none."""
        self._items = {row.key: item for row, item in listing.rows}
        self.rows.show([row for row, _ in listing.rows])
        if not listing.rows:
            self.show_text(Content(""))

    def show_text(self, content: Content) -> None:
        """What is said of the row."""
        self.query_one("#detail", VerticalScroll).scroll_home(animate=False)
        self.query_one("#detail-text", Static).update(content)


class ListPane(Vertical, Generic[Whole, Item]):
    """Reads its subject, follows the cursor, reads again when the disk changed, tells what is wrong."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "back", show=False)]

    def __init__(self, screen_name: str, subject: Subject[Whole, Item], background: Background) -> None:
        super().__init__()
        self.whole: Whole | None = None
        self._nav = NavLine(screen_name)
        self._subject, self._background = subject, background
        self._browser = Browser[Item](subject.columns, subject.empty)

    def compose(self) -> ComposeResult:
        """Where one is, what stands over the rows, the rows, the one under the cursor in full."""
        yield self._nav
        yield Static(id="list-head", markup=False)
        yield self._browser

    def on_mount(self) -> None:
        """Read, and keep looking."""
        self._browser.rows.focus()
        self.read_again()
        self._background.watch(self.read_again)

    @property
    def item(self) -> Item | None:
        """What the row under the cursor stands for."""
        return self._browser.item

    def read_again(self, subject: Subject[Whole, Item] | None = None) -> None:
        """Read what there is now, or another subject in the same columns."""
        self._subject = subject or self._subject
        self._nav.note("reading …")
        self._background.ask("list", self._subject.read, self._show_whole, self.show_error)

    def _show_whole(self, whole: Whole) -> None:
        self.whole = whole
        self._show()

    def action_back(self) -> None:
        """Back to what was shown before; what is being read is waited for no longer."""
        self._background.drop("list")
        self._background.drop("page")
        if self.whole is None:
            self._nav.note("nothing to show")
        else:
            self._show()

    def show_as(self, subject: Subject[Whole, Item]) -> None:
        """Show what was read in another way, such as other rows of it."""
        self._subject = subject
        self._show()

    def _show(self) -> None:
        if self.whole is not None:
            listing = self._subject.listing(self.whole)
            self._nav.note(listing.note)
            self._browser.show(listing)
            self._show_head(self.size.width)
            if listing.caution:
                self.notify(listing.caution, severity="warning", markup=False)

    def _show_head(self, width: int) -> None:
        item = self.item
        if self._subject.head is not None and self.whole is not None and item is not None:
            head = self.query_one("#list-head", Static)
            head.display = True
            head.update(self._subject.head(self.whole, item, width - 2))

    def on_resize(self, event: events.Resize) -> None:
        """What stands over the rows uses the width there is."""
        self._show_head(event.size.width)

    @on(RowList.Highlighted)
    def show_page(self) -> None:
        """What the cursor came to in full."""
        item = self.item
        if item is None:
            return
        self._show_head(self.size.width)
        page = self._subject.page(item)
        if isinstance(page, Content):
            self._browser.show_text(page)
        else:
            self._background.ask("page", page, self._browser.show_text, self.show_error, WALKING_S)

    def show_error(self, error: TrackError) -> None:
        """Say what is wrong in place of the page."""
        self._nav.note("not readable")
        self._browser.show_text(error_page(error))
