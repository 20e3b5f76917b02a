"""Lines that keep their place where a narrow terminal folds them."""

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


def beside(head: str, text: str) -> Folded:
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
