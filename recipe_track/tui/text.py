"""The one way in which text and errors reach a widget: as content, never as markup or terminal control."""

from collections.abc import Iterable, Iterator

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.content import Content
from textual.strip import Strip

from recipe_track.errors import InvalidRecipe, Refused, TrackError
from recipe_track.present.words.plain import visible
from recipe_track.present.words.problems import problem_text

TextPiece = str | tuple[str, str]
"""Some text, or some text with a style of the theme."""


def literal(text: str, style: str = "") -> Content:
    """Text as it is; acting characters become visible symbols, brackets stay brackets."""
    return Content.styled(visible(text), style) if style else Content(visible(text))


def line(*pieces: TextPiece) -> Content:
    """Pieces one after the other."""
    return Content("").join(literal(*((piece,) if isinstance(piece, str) else piece)) for piece in pieces)


def lines(contents: Iterable[Content]) -> Content:
    """Contents one under the other."""
    return Content("\n").join(contents)


def text_page(text: str) -> Content:
    """A text of several lines."""
    return lines(literal(row) for row in text.split("\n"))


def fitted(text: str, width: int, right: bool = False) -> str:
    """Text as exactly so many cells; an ellipsis shows where it was cut."""
    shown = visible(text)
    if cell_len(shown) > width:
        return set_cell_size(shown, max(width - 1, 0)) + "…"[:width]
    space = " " * (width - cell_len(shown))
    return space + shown if right else shown + space


def strip_of(text: str, own: Style, width: int, style: Style) -> Strip:
    """Visible text in a style of its own as one line of a widget."""
    return Strip([Segment(text, own)]).adjust_cell_length(width, style)


def error_page(error: TrackError) -> Content:
    """In place of the figures: the error, every located problem, what to do."""
    return lines(_error_lines(error))


def _error_lines(error: TrackError) -> Iterator[Content]:
    yield line((error.message, "bold $accent"))
    yield from (line(f"  {detail}") for detail in (error.details if isinstance(error, Refused) else ()))
    if error.hint:
        yield line(f"  {error.hint}")
    for problem in error.problems if isinstance(error, InvalidRecipe) else ():
        yield line("")
        yield from (line(text) for text in problem_text(problem).split("\n"))
    if isinstance(error, InvalidRecipe):
        yield line("")
        yield line("The figures come back as soon as the files are mended and saved.")


def error_sentence(error: TrackError) -> str:
    """The error on one line with its details and hint, for a form that comes back."""
    details = error.details if isinstance(error, Refused) else ()
    problems = [p.message for p in error.problems] if isinstance(error, InvalidRecipe) else []
    return "; ".join(filter(None, (error.message, *details, *problems, error.hint)))
