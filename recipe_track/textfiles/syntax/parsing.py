"""The whole of a text that may be broken: its data, its mistakes, and what only follows from those."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import tomli

from recipe_track.errors import Fault, Key
from recipe_track.textfiles.syntax.decoding import MOST_MISTAKES, TOO_MANY, Decoded, Mistake
from recipe_track.textfiles.syntax.grammar import Parsed, read_toml


def parse(decoded: Decoded) -> Parsed:
    """What can be read of a text with every mistake; tomli's refusal where nothing else explains it."""
    text, refusal = decoded.readable, None
    try:
        tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        start = min(error.pos, max(0, len(text) - 1))
        refusal = Mistake(start, 1, "not-toml", f"this is not TOML: {error.msg}")
    except (ValueError, RecursionError) as error:
        refusal = Mistake(0, 1, "unreadable", f"this cannot be read: {str(error).split(';')[0]}")
    parsed = read_toml(text, valid=refusal is None)
    own = parsed.mistakes or ((refusal,) if refusal and not decoded.mistakes else ())
    return replace(parsed, mistakes=(*_first(decoded.mistakes), *own))


def _first(mistakes: Sequence[Mistake]) -> Sequence[Mistake]:
    """No more than are told of one text."""
    if len(mistakes) <= MOST_MISTAKES:
        return mistakes
    in_order = sorted(mistakes, key=lambda one: one.start)[: MOST_MISTAKES + 1]
    return *in_order[:-1], Mistake(in_order[-1].start, 1, *TOO_MANY)


def follows(fault: Fault, parsed: Parsed) -> bool:
    """Whether a fault only follows from something that could not be read."""
    key = fault.key
    if any(key[:depth] in parsed.doubtful for depth in range(1, len(key) + (fault.at == "value"))):
        return True
    missing = key not in parsed.places
    if missing and (parsed.cut_short or key[:-1] in parsed.incomplete):
        return True
    inexact = key in parsed.incomplete or any(one[: len(key)] == key for one in parsed.doubtful)
    return inexact and isinstance(_at(parsed.data, key), list)


def _at(data: Any, key: Key) -> Any:
    for part in key:
        data = data[part]
    return data
