"""Bytes to a model, or to every problem of the file in one run."""

import re
from typing import Any

import tomli
from pydantic import BaseModel

from recipe_track.errors import Problem
from recipe_track.recipe.paths import kind_of_path
from recipe_track.textfiles.meaning.paths import misplaced, newer_format, validate
from recipe_track.textfiles.meaning.size import size_problem, too_large
from recipe_track.textfiles.syntax.decoding import Decoded, decode

NOT_TOML_1_0 = re.compile(r",[ \t]*\}|\\[ex]|\d\d:\d\d")


def read_file(path: str, data: bytes) -> tuple[BaseModel | None, tuple[Problem, ...]]:
    """The model that a file holds, or None and all of its problems, each at its place, by line."""
    kind = kind_of_path(path)
    if kind is None:
        return None, (
            misplaced(path) or Problem(path, None, None, "not-a-recipe-file", "this is not a recipe file"),
        )
    if too_large(kind, data):
        return None, (size_problem(kind, path, len(data)),)
    decoded = decode(data)
    sound = sound_data(decoded)
    if sound is not None and not (kind == "settings" and newer_format(path, sound)):
        model, faults = validate(kind, path, sound)
        if model is not None and not faults:
            return model, ()
    from recipe_track.textfiles.meaning.closer import look_closer

    return look_closer(kind, path, decoded)


def newer_than_known(data: bytes) -> str | None:
    """What to say of settings written in a format newer than the one known here; None where they are not."""
    if too_large("settings", data):
        return None
    decoded = decode(data)
    settings = sound_data(decoded)
    if settings is None:
        from recipe_track.textfiles.syntax.parsing import parse

        settings = parse(decoded).data
    fault = newer_format("", settings)
    return fault.message if fault else None


def sound_data(decoded: Decoded) -> dict[str, Any] | None:
    """The data of a text that is sound TOML 1.0; None where it has to be looked at more closely."""
    if decoded.mistakes or not decoded.legible:
        return None
    try:
        data = tomli.loads(decoded.readable)
    except (ValueError, RecursionError):  # the closer look says why
        return None
    return None if _may_be_newer(decoded.readable) else data


def _may_be_newer(text: str) -> bool:
    """Whether a text tomli accepts may hold syntax that TOML 1.0 does not have."""
    braces = any(
        line.count("{") != line.count("}") for line in text.split("\n") if "{" in line or "}" in line
    )
    return braces or NOT_TOML_1_0.search(text) is not None
