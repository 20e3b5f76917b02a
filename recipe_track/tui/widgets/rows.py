"""A list of rows with a cursor: draws only what is in sight, however long the list is."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from recipe_track.tui.text import fitted, strip_of

_GAP = 2
_MARK = "▸ "


@dataclass(frozen=True, slots=True)
class ListColumn:
    """A column; the one of width 0 takes what is left, `from_width` hides it in a narrower list."""

    head: str
    width: int
    right: bool = False
    from_width: int = 0


@dataclass(frozen=True, slots=True)
class ListRow:
    """One row by its key; `look` is quiet, strong or urgent."""

    key: str
    cells: tuple[str, ...]
    look: str = ""


class RowList(ScrollView, can_focus=True):
    """Rows to walk through; says which one the cursor is on."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "rows--head", "rows--cursor", "rows--quiet", "rows--strong", "rows--urgent",
    }  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "walk(-1)", "up", show=False),
        Binding("down", "walk(1)", "down", show=False),
        Binding("pageup", "page(-1)", "page up", show=False),
        Binding("pagedown", "page(1)", "page down", show=False),
        Binding("home", "go(0)", "first", show=False),
        Binding("end", "go(-1)", "last", show=False),
    ]
    cursor: reactive[int] = reactive(0)

    class Highlighted(Message):
        """The cursor came to a row."""

        def __init__(self, rows: "RowList", key: str) -> None:
            super().__init__()
            self.rows, self.key = rows, key

        @property
        def control(self) -> "RowList":
            """The list."""
            return self.rows

    def __init__(self, columns: Sequence[ListColumn], id: str, empty: str = "nothing here") -> None:
        super().__init__(id=id)
        self._columns, self._empty = tuple(columns), empty
        self.rows: tuple[ListRow, ...] = ()

    @property
    def key(self) -> str | None:
        """The row the cursor is on."""
        return self.rows[self.cursor].key if self.rows else None

    def show(self, rows: Sequence[ListRow], key: str | None = None) -> None:
        """Other rows; the cursor goes to the key, else stays with its row, else to the first one."""
        wanted = key if key is not None else self.key
        self.rows = tuple(rows)
        places = [n for n, row in enumerate(self.rows) if row.key == wanted]
        self.virtual_size = Size(1, len(self.rows) + 1)
        self.set_reactive(RowList.cursor, places[0] if places else 0)
        self._follow()
        self.refresh()
        if self.rows:
            self.post_message(self.Highlighted(self, self.rows[self.cursor].key))

    def on_resize(self, event: events.Resize) -> None:
        """Keep the cursor in sight; there is nothing to scroll sideways."""
        self.virtual_size = Size(1, len(self.rows) + 1)
        self._follow()

    def watch_cursor(self) -> None:
        """Keep the cursor in sight and say where it is."""
        self._follow()
        self.refresh()
        if self.rows:
            self.post_message(self.Highlighted(self, self.rows[self.cursor].key))

    def validate_cursor(self, cursor: int) -> int:
        """Within the list."""
        return max(0, min(cursor, len(self.rows) - 1))

    def _follow(self) -> None:
        height = max(self.size.height - 1, 1)
        top = self.scroll_offset.y
        if self.cursor < top:
            self.scroll_to(y=self.cursor, animate=False, force=True)
        elif self.cursor >= top + height:
            self.scroll_to(y=self.cursor - height + 1, animate=False, force=True)

    def action_walk(self, step: int) -> None:
        """To a neighbour."""
        self.cursor += step

    def action_page(self, step: int) -> None:
        """A page on or back."""
        self.cursor += step * max(self.size.height - 2, 1)

    def action_go(self, place: int) -> None:
        """To the first or the last row."""
        self.cursor = place if place >= 0 else len(self.rows) + place

    def on_click(self, event: events.Click) -> None:
        """A click moves the cursor; keys do everything else."""
        if event.y > 0:
            self.cursor = event.y - 1 + self.scroll_offset.y

    def render_line(self, y: int) -> Strip:
        """The heads stay on top; a row is drawn when it is in sight."""
        if y == 0:
            cells = tuple(column.head for column in self._columns)
            return self._strip("  ", cells, "rows--head")
        place = y - 1 + self.scroll_offset.y
        if not self.rows and y == 1:
            return self._strip("  ", (self._empty,), "rows--quiet", whole=True)
        if place >= len(self.rows):
            return Strip.blank(self.size.width, self.rich_style)
        row = self.rows[place]
        here = place == self.cursor
        look = "rows--cursor" if here and self.has_focus else f"rows--{row.look}" if row.look else ""
        return self._strip(_MARK if here else "  ", row.cells, look)

    def _strip(self, mark: str, cells: Sequence[str], look: str, whole: bool = False) -> Strip:
        style = self.get_component_rich_style(look) if look else self.rich_style
        width = self.scrollable_content_region.width
        text = cells[0] if whole else self._row_text(cells, width - len(mark))
        return strip_of(mark + text, style, width, style)

    def _row_text(self, cells: Sequence[str], width: int) -> str:
        shown = [(c, cell) for c, cell in zip(self._columns, cells, strict=True) if c.from_width <= width]
        while len(shown) > 1 and shown[-1][0].width and not shown[-1][1]:
            shown.pop()  # what stands before may have the room of an empty end
        fixed = sum(c.width for c, _ in shown) + _GAP * (len(shown) - 1)
        rest = max(width - fixed, 4)
        return (" " * _GAP).join(fitted(cell, c.width or rest, c.right) for c, cell in shown)
