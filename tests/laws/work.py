"""Work counted instead of timed: calls of functions, and characters that patterns passed over."""

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType, ModuleType
from typing import Any
from unittest.mock import patch

from recipe_track.textfiles.syntax import (
    cursor,
    decoding,
    grammar,
    mistakes,
    nested,
    parsing,
    places,
    scalars,
)

ROOMS: tuple[ModuleType, ...] = (cursor, decoding, grammar, mistakes, nested, parsing, places, scalars)


class TooMuchWork(BaseException):
    """More was done than may be; it also ends what would never end."""


def calls_of(act: Callable[[], object], most: float = float("inf")) -> int:
    """How many functions were called, Python's and C's; TooMuchWork as soon as it is more than may be."""
    calls = 0

    def count(_frame: FrameType, event: str, _of: object) -> None:
        nonlocal calls
        calls += event in ("call", "c_call")
        if calls > most:
            sys.setprofile(None)
            raise TooMuchWork(f"more than {most:,.0f} calls")

    sys.setprofile(count)
    try:
        act()
    finally:
        sys.setprofile(None)
    return calls


class _Counted:
    """A pattern that notes how many characters it passed over."""

    def __init__(self, pattern: re.Pattern[str], passed: list[int]) -> None:
        self._pattern, self._passed = pattern, passed

    def _noted(self, match: re.Match[str] | None, start: int, missed: int) -> re.Match[str] | None:
        self._passed[0] += 1 + (match.end() - start if match else missed)
        return match

    def match(self, text: str, at: int = 0) -> re.Match[str] | None:
        return self._noted(self._pattern.match(text, at), at, 0)

    def fullmatch(self, text: str) -> re.Match[str] | None:
        return self._noted(self._pattern.fullmatch(text), 0, 0)

    def search(self, text: str, at: int = 0) -> re.Match[str] | None:
        return self._noted(self._pattern.search(text, at), at, len(text) - at)

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        self._passed[0] += len(text)
        return self._pattern.finditer(text)

    def sub(self, put: Any, text: str) -> str:
        self._passed[0] += len(text)
        return self._pattern.sub(put, text)


@contextmanager
def characters() -> Iterator[list[int]]:
    """The characters that the patterns of the reader pass over meanwhile, in a list of one number."""
    passed = [0]
    with_patterns = [
        patch.object(room, name, _Counted(pattern, passed))
        for room in ROOMS
        for name, pattern in vars(room).items()
        if isinstance(pattern, re.Pattern)
    ]
    for one in with_patterns:
        one.start()
    try:
        yield passed
    finally:
        for one in with_patterns:
            one.stop()
