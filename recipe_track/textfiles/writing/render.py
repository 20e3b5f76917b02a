"""The text of a new file in the house layout: one key per line, one row per line, tables last."""

import re
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from math import isfinite
from typing import Any

from recipe_track.errors import CallError

SECTIONS = frozenset(
    ["approval", "considered", "expected", "hydrostatics", "materials", "options", "panel", "required",
     "reverification", "targets", "zones"]
)  # fmt: skip
REPEATED = frozenset(["condition", "hull_action", "mass", "part"])
BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
NAMED_ESCAPES = {"\b": r"\b", "\t": r"\t", "\n": r"\n", "\f": r"\f", "\r": r"\r", '"': r"\"", "\\": r"\\"}
MARKER = re.compile(r"^(?=<{7}|\|{7}|={7}|>{7})(.)", re.MULTILINE)


def to_toml(data: Mapping[str, Any], first_line: str = "") -> str:
    """The text of a file; keys keep their order, keys without a value (None) are left out."""
    head = [first_line] if first_line else []
    return "\n".join([*head, *_table(data, ())]) + "\n"


def inline(value: Any) -> str:
    """A value on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _one_line(value)
    if isinstance(value, (int, float)):
        return _number(value)
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, Mapping):
        entries = ", ".join(f"{key(name)} = {inline(one)}" for name, one in _given(value))
        return f"{{ {entries} }}" if entries else "{}"
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(inline(one) for one in value)}]"
    raise TypeError(f"{type(value).__name__} cannot be written in a recipe file")


def key(name: str) -> str:
    """A key, between quotes where it needs them."""
    return name if BARE_KEY.fullmatch(name) else _one_line(name)


def assignment(name: str, value: Any) -> str:
    """The line, or the lines, that give a key its value."""
    if isinstance(value, str) and "\n" in value:
        return f"{key(name)} = {_several_lines(value)}"
    if isinstance(value, (list, tuple)) and value and all(isinstance(row, Mapping) for row in value):
        rows = "".join(f"  {inline(row)},\n" for row in value)
        return f"{key(name)} = [\n{rows}]"
    return f"{key(name)} = {inline(value)}"


def _given(table: Mapping[str, Any]) -> list[tuple[str, Any]]:
    return [(name, value) for name, value in table.items() if value is not None]


def _table(table: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    """The lines of a table: its own keys first, then the tables inside it."""
    given = _given(table)
    apart = [name for name, value in given if _stands_apart(name, value, path)]
    for name, value in given:
        if name not in apart:
            yield assignment(name, value)
    for name in apart:
        inner, value = (*path, name), table[name]
        header = ".".join(key(part) for part in inner)
        for row in value if isinstance(value, (list, tuple)) else ():
            yield from ("", f"[[{header}]]", *_table(row, inner))
        if isinstance(value, Mapping):
            own = any(not _stands_apart(one, inside, inner) for one, inside in _given(value))
            yield from ("", f"[{header}]") if own or not _given(value) else ()
            yield from _table(value, inner)


def _stands_apart(name: str, value: Any, path: tuple[str, ...]) -> bool:
    """Whether a value is written under a header of its own."""
    if isinstance(value, Mapping):
        return name in SECTIONS or path[-1:] == ("zones",)
    rows = isinstance(value, (list, tuple)) and value and all(isinstance(row, Mapping) for row in value)
    return bool(rows) and name in REPEATED and not path


def _number(value: int | float) -> str:
    if not isfinite(value):
        raise CallError("a number that is written down is finite")
    return repr(value)


def _one_line(text: str) -> str:
    return f'"{"".join(_escaped(char) for char in _written(text))}"'


def _several_lines(text: str) -> str:
    """Text with line breaks as people read it; nothing in it can be taken for a conflict marker."""
    escaped = "".join(char if char in "\n\t" else _escaped(char) for char in _written(text))
    return '"""\n' + MARKER.sub(lambda match: f"\\u{ord(match[1]):04X}", escaped) + '"""'


def _written(text: str) -> str:
    if re.search("[\ud800-\udfff]", text):
        raise CallError("text that is not UTF-8 cannot be written", "check the encoding of your terminal")
    return text


def _escaped(char: str) -> str:
    """A character of a basic string; what does not show, or would move other text, is written as its code."""
    if char in NAMED_ESCAPES:
        return NAMED_ESCAPES[char]
    if char.isprintable():
        return char
    return f"\\u{ord(char):04X}" if ord(char) < 0x10000 else f"\\U{ord(char):08X}"
