"""Sections through both stacks, drawn to one scale, mould side on top."""

from collections.abc import Iterator

from textual.content import Content
from textual.widget import Widget

from recipe_track.present.terminal.stacks import LOOKS, side_by_side
from recipe_track.tui.content.stack import Stacks
from recipe_track.tui.plaintext import line, lines
from recipe_track.tui.widgets.strips import fitted

NAMES = {drawn: look for look, drawn in LOOKS.items()}
HEAD_ROWS = 2


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
        drawn, scale = _fitting(self._stacks, self.size.height - HEAD_ROWS)
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
        begun = [NAMES.get(now, "") for now, was in zip(bands, above, strict=True) if now != was]
        yield f"{row}  {next((name for name in reversed(begun) if name), '')}"
        above = bands
