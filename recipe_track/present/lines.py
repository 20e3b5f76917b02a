"""Lines that keep their indent where a narrow terminal folds them."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import RenderableType


def hanging(lines: "Iterable[RenderableType]") -> "Iterator[RenderableType]":
    """Each line that starts with spaces as a block moved in by them; anything else as it is."""
    from rich.padding import Padding
    from rich.text import Text

    for line in lines:
        if isinstance(line, str) and line.startswith(" "):
            text = line.lstrip(" ")
            yield Padding(Text(text), (0, 0, 0, len(line) - len(text)), expand=False)
        else:
            yield line
