"""Asking on a terminal for what a call leaves open; elsewhere what is missing is an error."""

import sys
from collections.abc import Sequence

import click

from recipe_track.cli.output import say
from recipe_track.errors import CallError
from recipe_track.recipe.rules.names import nearest


def is_asking() -> bool:
    """Whether there is someone to ask."""
    return sys.stdin.isatty() and sys.stderr.isatty()


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
