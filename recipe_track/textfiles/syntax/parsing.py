"""A closer look at a file that has something wrong or newer syntax: every problem at its place."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import tomli
from pydantic import BaseModel

from recipe_track.errors import Fault, Key, Problem
from recipe_track.textfiles.meaning.naming import plain
from recipe_track.textfiles.meaning.paths import newer_format, validate
from recipe_track.textfiles.syntax.decoding import Decoded, Slip
from recipe_track.textfiles.syntax.grammar import Reading, read_toml
from recipe_track.textfiles.syntax.places import extent_of, problem_at


@dataclass(frozen=True, slots=True)
class Parsed:
    """The data of a file as far as it can be read, and every slip of its text."""

    data: dict[str, Any]
    reading: Reading
    slips: tuple[Slip, ...] = ()


def read_troubled(kind: str, path: str, decoded: Decoded) -> tuple[BaseModel | None, tuple[Problem, ...]]:
    """The model of a file after all, or None and every problem."""
    if not decoded.legible:
        return None, _problems(path, "", decoded.slips, [], read_toml(""))
    parsed = parse(decoded)
    newer = newer_format(path, parsed.data) if kind == "settings" else None
    model, found = (None, [newer]) if newer else validate(kind, path, parsed.data)
    if model is not None and not parsed.slips:
        return model, ()
    slips = () if newer else parsed.slips
    told = [fault for fault in found if not follows(fault, parsed.reading)]
    return None, _problems(path, decoded.shown, slips, told, parsed.reading)


def parse(decoded: Decoded) -> Parsed:
    """What can be read of a text with every slip; tomli's refusal where nothing else explains it."""
    text, refusal = decoded.readable, None
    try:
        tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        refusal = Slip(min(error.pos, max(0, len(text) - 1)), 1, f"this is not TOML: {error.msg}")
    except (ValueError, RecursionError) as error:
        refusal = Slip(0, 1, f"this cannot be read: {str(error).split(';')[0]}")
    reading = read_toml(text, valid=refusal is None)
    own = reading.slips or ((refusal,) if refusal and not decoded.slips else ())
    return Parsed(reading.data, reading, (*decoded.slips, *own))


def follows(fault: Fault, reading: Reading) -> bool:
    """Whether a fault only follows from something that could not be read."""
    key = fault.key
    if any(key[:depth] in reading.doubtful for depth in range(1, len(key) + (fault.at == "value"))):
        return True
    missing = key not in reading.places
    if missing and (reading.cut_short or key[:-1] in reading.incomplete):
        return True
    inexact = key in reading.incomplete or any(one[: len(key)] == key for one in reading.doubtful)
    return inexact and isinstance(_at(reading.data, key), list)


def _at(data: Any, key: Key) -> Any:
    for part in key:
        data = data[part]
    return data


def _problems(
    path: str, shown_text: str, slips: Iterable[Slip], found: list[Fault], reading: Reading
) -> tuple[Problem, ...]:
    told = [
        problem_at(
            path,
            shown_text,
            (slip.start, slip.start + slip.length),
            plain(slip.message, 160),
            plain(slip.hint, 160),
        )
        for slip in slips
    ]
    told += [
        problem_at(path, shown_text, extent_of(fault, reading.places), fault.message, fault.hint)
        for fault in found
    ]
    return tuple(sorted(told, key=lambda one: (one.line or 0, one.column or 0)))
