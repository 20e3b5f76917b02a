"""The only writers to stdout and stderr, and to a file that a person names."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from recipe_track.errors import CallError, Problem, Refused, TrackError
from recipe_track.present.words.plain import visible
from recipe_track.present.words.problems import problem_text

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

    from recipe_track.cli.options import Call


NARROWEST = 80


class AnswerLost(TrackError):
    """The answer could not be written where it was to go."""


@contextmanager
def answering() -> Iterator[None]:
    """Tell a full disk under the answer from all else that may be full; nobody reading on is no trouble."""
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        raise AnswerLost(f"the answer cannot be written: {error.strerror}") from error


def emit_json(command: str, body: dict[str, Any]) -> None:
    """One JSON object on stdout, its format first; what is not ASCII is escaped, so nothing acts."""
    emit_text(json_text(command, body))


def json_text(command: str, body: dict[str, Any]) -> str:
    """What `emit_json` writes."""
    return json.dumps({"format": f"recipe-track/{command}/1", **body}, indent=1, allow_nan=False) + "\n"


def emit(*renderables: RenderableType) -> None:
    """Text for people on stdout; markup in strings means nothing."""
    with answering():  # the console flushes what it writes to, captured or not
        text = people_text(*renderables)
    emit_text(text)


def people_text(*renderables: RenderableType) -> str:
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
    emit_text(f"{visible(text)}\n")


def emit_bytes(data: bytes) -> None:
    """Bytes on stdout, as they are."""
    with answering():
        sys.stdout.flush()
        sys.stdout.buffer.write(data)


def stdout_console() -> Console:
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


paper_option = click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper to print on."
)


def save(target: Path, text: str) -> None:
    """Write a page; the file that was there before stays until the new one is whole."""
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        if target.is_dir():
            raise CallError(f"{target} is a folder", "name a file: -o F.html")
        beside.write_bytes(text.encode("utf-8"))
        beside.replace(target)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise CallError(f"{target} cannot be written: {error.strerror}") from error


csv_option = click.option(
    "--csv", "as_csv", is_flag=True, help="The table as comma-separated values (RFC 4180)."
)


def refuse_two_forms(call: Call, as_csv: bool) -> None:
    """One answer has one form."""
    if call.json and as_csv:
        raise CallError("--json and --csv exclude each other")


def emit_csv(text: str) -> None:
    """A table on stdout, its line ends as they are on every system."""
    emit_bytes(text.encode("utf-8"))
    with answering():
        sys.stdout.buffer.flush()


def emit_text(text: str) -> None:
    """A text on stdout as it is, neither folded nor coloured."""
    with answering():
        sys.stdout.write(text)
