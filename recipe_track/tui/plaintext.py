"""The one way in which text reaches a widget: as content, never as markup or terminal control."""

from collections.abc import Iterable

from textual.content import Content

from recipe_track.present.words.plain import visible

Piece = str | tuple[str, str]
"""Some text, or some text with a style of the theme."""


def plain(text: str, style: str = "") -> Content:
    """Text as it is; acting characters become visible symbols, brackets stay brackets."""
    return Content.styled(visible(text), style) if style else Content(visible(text))


def line(*pieces: Piece) -> Content:
    """Pieces one after the other."""
    return Content("").join(plain(*((piece,) if isinstance(piece, str) else piece)) for piece in pieces)


def lines(contents: Iterable[Content]) -> Content:
    """Contents one under the other."""
    return Content("\n").join(contents)


def page(text: str) -> Content:
    """A text of several lines."""
    return lines(plain(row) for row in text.split("\n"))
