"""Commands that write: ask for what is missing on a terminal, tell the new id alone on stdout."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

import click

from recipe_track.cli.output import emit_json, emit_line, say
from recipe_track.errors import CallError, Doubtful
from recipe_track.present.words.plain import visible, visible_lines
from recipe_track.recipe.rules.names import nearest

if TYPE_CHECKING:
    from recipe_track.cli.options import Call
    from recipe_track.procedures.writing import Done


def is_asking(call: Call) -> bool:
    """Whether there is someone to ask."""
    return not call.json and sys.stdin.isatty() and sys.stderr.isatty()


def ask_one(given: str | None, option: str, words: str, known: Sequence[str], *, asks: bool) -> str:
    """One of several names, by its name or its place in the list shown.

    Names that are numbers themselves, as those of hulls, have no place: 12 is hull 12 and never the twelfth.
    """
    if given is not None:
        return given
    _require_asking(option, asks)
    places = (
        {} if any(name.isdigit() for name in known) else {str(n): name for n, name in enumerate(known, 1)}
    )
    for name, place in zip(known, list(places) or [""] * len(known), strict=True):
        say(f"{place:>4}  {name}")
    while True:
        answer = str(click.prompt(words, err=True)).strip()
        answer = places.get(answer, answer)
        if answer in known:
            return answer
        say(f"not in the list: {nearest(answer, known)}")


def ask_number(given: int | None, option: str, words: str, low: int, high: int, *, asks: bool) -> int:
    """A whole number within limits."""
    if given is not None:
        return given
    _require_asking(option, asks)
    return int(click.prompt(words, type=click.IntRange(low, high), err=True))


def ask_text(given: str | None, option: str, words: str, *, asks: bool) -> str:
    """A line of text."""
    if given is not None:
        return given
    _require_asking(option, asks)
    return str(click.prompt(words, err=True))


def _require_asking(option: str, asks: bool) -> None:
    if not asks:
        raise CallError(f"{option} is missing", "it is asked for only on a terminal")


F = TypeVar("F", bound=Callable[..., Any])
dry_run_option = click.option("--dry-run", is_flag=True, help="Say what would be written, and write nothing.")


meant_option = click.option(
    "--meant", is_flag=True, help="It is as given, however unlikely; with --note, which says why."
)


def do_meant(given: dict[str, Any], act: Callable[[dict[str, Any]], Done], *, asks: bool) -> Done:
    """Do what is given; what is unlikely is asked about where there is someone to ask, else refused."""
    try:
        return act(given)
    except Doubtful as doubt:
        if not asks:
            raise
        for line in (doubt.message, *doubt.details):
            say(line)
        if not click.confirm("is it meant?", err=True):
            raise
        note = ask_text(given.get("note") or None, "--note", "why", asks=asks)
        return act({**given, "meant": True, "note": note})


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
