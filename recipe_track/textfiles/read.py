"""Bytes to a model, or to every problem of the file in one run."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import tomli
from pydantic import BaseModel

from recipe_track.errors import Fault, Key, Problem
from recipe_track.textfiles.decoding import Decoded, Slip, decode
from recipe_track.textfiles.grammar import Reading, read_toml
from recipe_track.textfiles.kinds import newer_format, validate
from recipe_track.textfiles.locate import extent_of, problem_at
from recipe_track.textfiles.naming import plain
from recipe_track.textfiles.paths import kind_of_path, misplaced

__all__ = ["kind_of_path", "misplaced", "newer_than_known", "read_file"]

NOT_TOML_1_0 = re.compile(r",[ \t]*\}|\\[ex]|\d\d:\d\d")


@dataclass(frozen=True, slots=True)
class Parsed:
    """The data of a file; the reading is only made where something is wrong or doubtful."""

    data: dict[str, Any]
    reading: Reading | None = None
    slips: tuple[Slip, ...] = ()


def read_file(path: str, data: bytes) -> tuple[BaseModel | None, tuple[Problem, ...]]:
    """The model that a file holds, or None and all of its problems, each at its place, by line."""
    kind = kind_of_path(path)
    if kind is None:
        return None, (misplaced(path) or Problem(path, None, None, "this is not a recipe file"),)
    decoded = decode(data)
    if not decoded.legible:
        return None, _problems(path, "", decoded.slips, [], read_toml(""))
    parsed = _parse(decoded)
    newer = newer_format(path, parsed.data) if kind == "settings" else None
    model, found = (None, [newer]) if newer else validate(kind, path, parsed.data)
    if model is not None and not parsed.slips:
        return model, ()
    reading = parsed.reading or read_toml(decoded.readable, valid=True)
    slips = () if newer else parsed.slips
    told = [fault for fault in found if not follows(fault, reading)]
    return None, _problems(path, decoded.shown, slips, told, reading)


def newer_than_known(data: bytes) -> str | None:
    """What to say of settings written in a format newer than the one known here; None where they are not."""
    fault = newer_format("", _parse(decode(data)).data)
    return fault.message if fault else None


def _parse(decoded: Decoded) -> Parsed:
    """tomli's answer where the text is sound TOML 1.0, else what can be read of it with every slip."""
    text, refusal = decoded.readable, None
    try:
        data = tomli.loads(text)
        if not decoded.slips and not _may_be_newer(text):
            return Parsed(data)
    except tomli.TOMLDecodeError as error:
        offset = error.pos
        refusal = Slip(min(offset, max(0, len(text) - 1)), 1, f"this is not TOML: {error.msg}")
    except (ValueError, RecursionError) as error:
        refusal = Slip(0, 1, f"this cannot be read: {str(error).split(';')[0]}")
    reading = read_toml(text, valid=refusal is None)
    own = reading.slips or ((refusal,) if refusal and not decoded.slips else ())
    return Parsed(reading.data, reading, (*decoded.slips, *own))


def _may_be_newer(text: str) -> bool:
    """Whether a text tomli accepts may hold syntax that TOML 1.0 does not have."""
    braces = any(
        line.count("{") != line.count("}") for line in text.split("\n") if "{" in line or "}" in line
    )
    return braces or NOT_TOML_1_0.search(text) is not None


# what is told


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
