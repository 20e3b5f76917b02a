"""Two stacks of one zone: their layers side by side in one widget, and sections drawn to one scale."""

from collections.abc import Iterator
from typing import ClassVar

from rich.cells import cell_len
from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.widget import Widget

from recipe_track.present.terminal.stacks import LOOK_SIGNS, side_by_side
from recipe_track.tui.content.stack import StackLine, Stacks
from recipe_track.tui.text import fitted, line, lines, strip_of

_WORD, _EFFECT = 9, 8
_SIDE_BY_SIDE_FROM = 68
_MARK_LOOKS = {"added": "stack--comes", "removed": "stack--goes", "altered": "stack--differs",
         "replaced": "stack--differs", "moved": "stack--differs"}  # fmt: skip
_DrawnLine = tuple[str, str]
"""A look and the text of one line."""
_NAMES = {drawn: look for look, drawn in LOOK_SIGNS.items()}
_HEAD_ROWS = 2


class StackView(ScrollView, can_focus=True):
    """Rows of the alignment from mould side to bag side; one widget, so that the sides stay in step."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "stack--head", "stack--face", "stack--comes", "stack--goes", "stack--differs",
    }  # fmt: skip

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self.stacks: Stacks | None = None
        self._drawn: list[_DrawnLine] = []

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
        return strip_of(text, style, self.size.width, style)


def _drawn(stacks: Stacks, width: int) -> Iterator[_DrawnLine]:
    both = width >= _SIDE_BY_SIDE_FROM
    yield "stack--head", _head(stacks, width, both)
    if not stacks.lines:
        yield "stack--face", "  no layers: a joint, weighed by its length"
        return
    for row in stacks.lines:
        yield from _row(row, width, both)
    yield "stack--face", "bag side"


def _widths(width: int, both: bool) -> tuple[int, ...]:
    rest = width - 2 - _WORD - _EFFECT
    half = (rest - 3) // 2
    return (half, rest - 3 - half) if both else (rest,)


def _head(stacks: Stacks, width: int, both: bool) -> str:
    old, new = stacks.before_head, stacks.after_head
    heads = (old, new) if both else (f"{old}  →  {new}",)
    cells = " │ ".join(fitted(h, w) for h, w in zip(heads, _widths(width, both), strict=True))
    return f"{'mould side':{2 + _WORD}}{cells}{'mass':>{_EFFECT}}"


def _row(row: StackLine, width: int, both: bool) -> Iterator[_DrawnLine]:
    texts = (row.before, row.after) if both else (row.pair,)
    widths = _widths(width, both)
    columns = [_wrapped(text, w) for text, w in zip(texts, widths, strict=True)]
    for n in range(max(map(len, columns))):
        cells = " │ ".join(
            fitted(column[n] if n < len(column) else "", w) for column, w in zip(columns, widths, strict=True)
        )
        sign, word, effect = (row.sign, row.word, row.effect) if n == 0 else ("", "", "")
        yield _MARK_LOOKS.get(row.mark, ""), f"{sign:2}{word:{_WORD}}{cells}{effect:>{_EFFECT}}"


def _wrapped(text: str, width: int) -> list[str]:
    """Whole facts per line: facts are set apart by two spaces."""
    folded = [""]
    for fact in text.split("  "):
        longer = f"{folded[-1]}  {fact}" if folded[-1] else fact
        if folded[-1] and cell_len(longer) > width:
            folded.append(f"  {fact}")
        else:
            folded[-1] = longer
    return folded


class SectionView(Widget):
    """A drawing that fills its height."""

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self._stacks: Stacks | None = None

    def show(self, stacks: Stacks | None) -> None:
        """Another zone or other revisions."""
        self._stacks = stacks
        self.refresh()

    def render(self) -> Content:
        """Heads, the drawing with its bands named, the scale."""
        if self._stacks is None or not any(self._stacks.sections):
            return line("")
        drawn, scale = _fitting(self._stacks, self.size.height - _HEAD_ROWS)
        old, new = (fitted(label, 4) for label in self._stacks.labels)
        return lines(line(text) for text in (f"{old}{new}", *_named(drawn), scale))


def _fitting(stacks: Stacks, rows: int) -> tuple[list[str], str]:
    """The largest drawing that fits; what is thinner than a row still takes one."""
    for wanted in range(max(rows, 1), 0, -1):
        drawn, scale = side_by_side(*stacks.sections, wanted)
        if len(drawn) <= rows:
            return drawn, scale.words
    return drawn[: max(rows, 1)], "not to scale"


def _named(drawn: list[str]) -> Iterator[str]:
    """Every row with the name of the band that begins in it, after's before before's."""
    above = ("", "")
    for row in drawn:
        bands = row[:2], row[4:6]
        begun = [_NAMES.get(now, "") for now, was in zip(bands, above, strict=True) if now != was]
        yield f"{row}  {next((name for name in reversed(begun) if name), '')}"
        above = bands
