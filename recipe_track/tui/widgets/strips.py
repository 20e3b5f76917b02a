"""Plain text cut and padded to cells, and strips made of it."""

from collections.abc import Iterable

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from recipe_track.present.words.plain import visible


def fitted(text: str, width: int, right: bool = False) -> str:
    """Text as exactly so many cells; an ellipsis shows where it was cut."""
    shown = visible(text)
    if cell_len(shown) > width:
        return set_cell_size(shown, max(width - 1, 0)) + "…"[:width]
    space = " " * (width - cell_len(shown))
    return space + shown if right else shown + space


def strip_of(pieces: Iterable[tuple[str, Style]], width: int, style: Style) -> Strip:
    """Styled pieces of visible text as one line of a widget."""
    return Strip([Segment(text, own) for text, own in pieces]).adjust_cell_length(width, style)
