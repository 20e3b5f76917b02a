"""Text typed by people as plain text: nothing steers a terminal; lines fold in place."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType
    from rich.text import Text


@dataclass(frozen=True)
class Folded:
    """A head once, the text beside it; what is folded starts `rest` columns in."""

    head: str
    text: str
    rest: int

    def __rich_console__(self, console: "Console", options: "ConsoleOptions") -> "Iterator[Text]":
        """The folded lines, none padded with spaces."""
        from rich.text import Text

        width = max(options.max_width - max(self.rest, len(self.head)), 1)
        for place, line in enumerate(Text(self.text).wrap(console, width)):
            yield Text.assemble(" " * self.rest if place else self.head, line)


def headed(head: str, text: str) -> Folded:
    """The text folded into a block beside its head."""
    return Folded(head, text, len(head))


def hanging(lines: "Iterable[RenderableType]", deeper: int = 0) -> "Iterator[RenderableType]":
    """Each line that starts with spaces as a block moved in by them, its rest deeper; else as it is."""
    for line in lines:
        if isinstance(line, str) and line.startswith(" "):
            text = line.lstrip(" ")
            indent = len(line) - len(text)
            yield Folded(" " * indent, text, indent + deeper)
        else:
            yield line


# C0 and C1 controls, delete, and the marks that change the direction of text (Unicode UAX #9), zero width
# characters and line separators: shown as a visible symbol instead of being obeyed.
_ACTING = re.compile("[\x00-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\ufff9-\ufffb]")
_LONE = re.compile("[\ud800-\udfff]")


def visible(text: str) -> str:
    """The text with every acting character replaced by a symbol; what is harmless stays as it is."""
    return _LONE.sub("\ufffd", _ACTING.sub(_symbol, text))


def visible_lines(text: str) -> str:
    """Like `visible`, but line ends stay line ends."""
    return "\n".join(visible(line) for line in text.replace("\r\n", "\n").split("\n"))


def _symbol(match: re.Match[str]) -> str:
    code = ord(match.group())
    if code < 0x20:
        return chr(0x2400 + code)
    return "\u2421" if code == 0x7F else "\ufffd"


def shortened(text: str, width: int) -> str:
    """The text on one line of at most `width` characters, cut with an ellipsis."""
    line = " ".join(visible_lines(text).split())
    return line if len(line) <= width else line[: max(width - 1, 0)] + "…"
