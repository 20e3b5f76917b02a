"""What a command that writes tells: the new id or label alone on stdout, what it did on stderr."""

from collections.abc import Callable
from datetime import date
from typing import Any, TypeVar

import click

from recipe_track.cli.options import Call
from recipe_track.cli.output import emit_json, emit_line, say
from recipe_track.errors import CallError
from recipe_track.present.plain import visible, visible_lines
from recipe_track.procedures.writing import Done

F = TypeVar("F", bound=Callable[..., Any])

dry_run_option = click.option("--dry-run", is_flag=True, help="Say what would be written, and write nothing.")


class _Day(click.ParamType[date]):
    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """A day as 2026-03-31."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(str(value))
        except ValueError:
            self.fail(f"`{visible(str(value))}` is not a day such as 2026-03-31", param, ctx)


on_option = click.option(
    "--on", type=_Day(), default=date.today, metavar="DATE", help="Day it is about; default: today."
)


def show_done(call: Call, command: str, done: Done) -> int:
    """Tell what was done; the id or label only if it is there."""
    if done.dry_run:
        say("dry run, nothing is written:")
    for line in done.said:
        say(line)
    if call.json:
        _emit(command, done)
    elif not done.dry_run:
        emit_line(done.label or done.id or "")
    if done.dry_run:
        for path, content in done.files.items():
            say(f"--- {path}")
            for text in visible_lines(content.decode("utf-8", "replace")).split("\n"):
                say(text)
    return 0


def _emit(command: str, done: Done) -> None:
    name = "label" if done.label else "id"
    known = None if done.dry_run else done.label or done.id
    files = sorted(done.files)
    emit_json(command, {name: known, "commit": done.commit, "dry_run": done.dry_run, "files": files})


def zipped(firsts: tuple[Any, ...], others: tuple[Any, ...], names: str) -> list[tuple[Any, Any]]:
    """Options that go together, each given as often as the other."""
    if len(firsts) != len(others):
        raise CallError(f"{names} go together, each as often as the other")
    return list(zip(firsts, others, strict=True))
