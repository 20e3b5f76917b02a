"""Both stacks in one scrolling widget, so that the sides can never get out of step."""

from collections.abc import Iterator
from typing import ClassVar

from rich.cells import cell_len
from textual import events
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from recipe_track.tui.content.stack import StackLine, Stacks
from recipe_track.tui.widgets.strips import fitted, strip_of

WORD, EFFECT = 9, 8
SIDE_BY_SIDE_FROM = 68
LOOKS = {"added": "stack--comes", "removed": "stack--goes", "altered": "stack--differs",
         "replaced": "stack--differs", "moved": "stack--differs"}  # fmt: skip
Drawn = tuple[str, str]
"""A look and the text of one line."""


class StackView(ScrollView, can_focus=True):
    """Rows of the alignment from mould side to bag side; scrolls with the arrow and page keys."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "stack--head", "stack--face", "stack--comes", "stack--goes", "stack--differs",
    }  # fmt: skip

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self.stacks: Stacks | None = None
        self._drawn: list[Drawn] = []

    def show(self, stacks: Stacks | None) -> None:
        """Another zone or other revisions."""
        self.stacks = stacks
        self.scroll_to(y=0, animate=False)
        self._draw()

    def on_resize(self, event: events.Resize) -> None:
        """Side by side where there is room, else one line per pair."""
        self._draw()

    def _draw(self) -> None:
        width = self.scrollable_content_region.width
        self._drawn = list(_drawn(self.stacks, width)) if self.stacks and width else []
        self.virtual_size = Size(1, len(self._drawn))
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """The head stays on top, whatever is scrolled."""
        place = y if y == 0 else y + self.scroll_offset.y
        if place >= len(self._drawn):
            return Strip.blank(self.size.width, self.rich_style)
        look, text = self._drawn[place]
        style = self.get_component_rich_style(look) if look else self.rich_style
        return strip_of([(text, style)], self.size.width, style)


def _drawn(stacks: Stacks, width: int) -> Iterator[Drawn]:
    both = width >= SIDE_BY_SIDE_FROM
    yield "stack--head", _head(stacks, width, both)
    if not stacks.lines:
        yield "stack--face", "  no layers: a joint, weighed by its length"
        return
    for line in stacks.lines:
        yield from _row(line, width, both)
    yield "stack--face", "bag side"


def _widths(width: int, both: bool) -> tuple[int, ...]:
    rest = width - 2 - WORD - EFFECT
    half = (rest - 3) // 2
    return (half, rest - 3 - half) if both else (rest,)


def _head(stacks: Stacks, width: int, both: bool) -> str:
    old, new = stacks.before_head, stacks.after_head
    heads = (old, new) if both else (f"{old}  →  {new}",)
    cells = " │ ".join(fitted(h, w) for h, w in zip(heads, _widths(width, both), strict=True))
    return f"{'mould side':{2 + WORD}}{cells}{'mass':>{EFFECT}}"


def _row(line: StackLine, width: int, both: bool) -> Iterator[Drawn]:
    texts = (line.before, line.after) if both else (line.pair,)
    widths = _widths(width, both)
    columns = [_wrapped(text, w) for text, w in zip(texts, widths, strict=True)]
    for n in range(max(map(len, columns))):
        cells = " │ ".join(
            fitted(column[n] if n < len(column) else "", w) for column, w in zip(columns, widths, strict=True)
        )
        sign, word, effect = (line.sign, line.word, line.effect) if n == 0 else ("", "", "")
        yield LOOKS.get(line.mark, ""), f"{sign:2}{word:{WORD}}{cells}{effect:>{EFFECT}}"


def _wrapped(text: str, width: int) -> list[str]:
    """Whole facts per line: facts are set apart by two spaces."""
    lines = [""]
    for fact in text.split("  "):
        longer = f"{lines[-1]}  {fact}" if lines[-1] else fact
        if lines[-1] and cell_len(longer) > width:
            lines.append(f"  {fact}")
        else:
            lines[-1] = longer
    return lines
