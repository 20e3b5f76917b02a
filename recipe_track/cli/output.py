"""The only writers to stdout and stderr: results to the one, everything else to the other."""

import json
import os
import shutil
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from recipe_track.errors import Problem, Refused, TrackError
from recipe_track.present.plain import visible
from recipe_track.present.problems import problem_text

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

NARROWEST = 80


def emit_json(command: str, body: dict[str, Any]) -> None:
    """One JSON object on stdout, its format first; what is not ASCII is escaped, so nothing acts."""
    sys.stdout.write(json_text(command, body))


def json_text(command: str, body: dict[str, Any]) -> str:
    """What `emit_json` writes."""
    return json.dumps({"format": f"recipe-track/{command}/1", **body}, indent=1, allow_nan=False) + "\n"


def emit(*renderables: "RenderableType") -> None:
    """Text for people on stdout; markup in strings means nothing."""
    sys.stdout.write(people_text(*renderables))


def people_text(*renderables: "RenderableType") -> str:
    """What `emit` writes: as wide as the terminal, or 80 columns wide; no line ends in spaces."""
    console = stdout_console()
    with console.capture() as captured:
        for renderable in renderables:
            console.print(renderable, markup=False, highlight=False)
    return "\n".join(line.rstrip(" ") for line in captured.get().split("\n"))


def columns() -> int:
    """The width that text for people has: that of the terminal, or 80 columns where there is none."""
    if sys.stdout.isatty() or "COLUMNS" in os.environ:
        return shutil.get_terminal_size().columns
    return NARROWEST


def emit_line(text: str) -> None:
    """One plain line on stdout, such as a new id."""
    print(visible(text))


def emit_bytes(data: bytes) -> None:
    """Bytes on stdout, as they are."""
    sys.stdout.flush()
    sys.stdout.buffer.write(data)


def stdout_console() -> "Console":
    """A console on stdout; 80 columns wide or more where it is not a terminal."""
    from rich.console import Console

    return Console(file=sys.stdout, markup=False, highlight=False, width=columns(), emoji=False)


def say(text: str) -> None:
    """One line on stderr, for people."""
    print(visible(text), file=sys.stderr)


def show_error(error: TrackError) -> None:
    """An error with its hint and details on stderr."""
    say(f"recipe-track: {error.message}")
    if isinstance(error, Refused):
        for detail in error.details:
            say(f"  {detail}")
    if error.hint:
        say(f"  {error.hint}")


def show_problems(problems: Iterable[Problem]) -> None:
    """Located problems on stderr, place first."""
    for problem in problems:
        print(problem_text(problem), file=sys.stderr)
