"""How far the work at hand has come, for whoever shows it; the work itself knows nothing of a screen."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TypeVar

Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True)
class Progress:
    """What is being done, and how many of how many are done."""

    what: str
    done: int
    of: int


_now: Progress | None = None


def steps(what: str, things: Iterable[Thing], of: int) -> Iterator[Thing]:
    """The things one by one, noted as they are done."""
    global _now
    for done, thing in enumerate(things):
        _now = Progress(what, done, of)
        yield thing


def progress() -> Progress | None:
    """What was noted last; None before anything was."""
    return _now
