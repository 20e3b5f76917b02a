"""Edits of whole lines that leave every other byte of a file alone, checked by reading the result again."""

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

import tomli

from recipe_track.errors import Key, Refused
from recipe_track.textfiles.locate import Span, positions
from recipe_track.textfiles.render import assignment, inline, key


def set_value(text: str, path: Key, value: Any) -> str:
    """Give the key at a path a value, in its place or on a new line at the end of its table."""
    places = positions(text)
    new = (
        _replaced(text, places[path].value, inline(value)) if path in places else _inserted(text, path, value)
    )
    expected = tomli.loads(text)
    _at(expected, path[:-1])[path[-1]] = value
    return _checked(new, expected)


def append_table(text: str, name: str, values: Mapping[str, Any]) -> str:
    """Add a `[[name]]` table at the end of the file."""
    data = tomli.loads(text)
    if name in data and not _has_header(text, (name, 0), data[name]):
        raise Refused(f"`{name}` is not written as [[{name}]] tables", "rewrite it so, then try again")
    end = _line_break(text)
    lines = [f"[[{name}]]", *(assignment(one, value) for one, value in values.items() if value is not None)]
    gap = end if text and not text.endswith(("\n\n", "\n\r\n")) else ""
    new = _ended(text) + gap + "".join(line.replace("\n", end) + end for line in lines)
    expected = deepcopy(data)
    expected.setdefault(name, []).append({one: value for one, value in values.items() if value is not None})
    return _checked(new, expected)


def set_row(text: str, name: str, match: Mapping[str, Any], values: Mapping[str, Any]) -> str:
    """Give keys of the one `[[name]]` table that matches new values, or append such a table."""
    rows = tomli.loads(text).get(name, [])
    found = [index for index, row in enumerate(rows) if match.items() <= row.items()]
    if len(found) > 1:
        raise Refused(f"{len(found)} [[{name}]] tables match {inline(dict(match))}", "keep one of them")
    if not found:
        return append_table(text, name, {**match, **values})
    for one, value in values.items():
        text = set_value(text, (name, found[0], one), value)
    return text


def _checked(text: str, expected: dict[str, Any]) -> str:
    if tomli.loads(text) != expected:
        raise Refused("the file could not be edited without changing more than was asked", "edit it by hand")
    return text


def _at(data: Any, path: Key) -> Any:
    for part in path:
        data = data[part]
    return data


def _has_header(text: str, path: Key, rows: Any) -> bool:
    if not isinstance(rows, list) or not rows:
        return False
    start = positions(text)[path].value.start
    return text.replace("\r\n", "\n").startswith("[[", start)


def _offset(text: str, line: int, column: int) -> int:
    """The offset of a place in a text whose lines may end in either way."""
    return sum(len(one) for one in text.split("\n")[: line - 1]) + line - 1 + column - 1


def _replaced(text: str, span: Span, written: str) -> str:
    start = _offset(text, span.line, span.column)
    old = text.replace("\r\n", "\n")[span.start : span.start + span.length]
    last_line, last = span.line + old.count("\n"), old.rsplit("\n", 1)
    end = _offset(text, last_line, len(last[-1]) + 1) if len(last) > 1 else start + len(old)
    return text[:start] + written + text[end:]


def _inserted(text: str, path: Key, value: Any) -> str:
    """The text with a new key behind the last key of its table, or behind its header."""
    places, table, name = positions(text), path[:-1], str(path[-1])
    own = _at(tomli.loads(text), table)
    spans = [places[(*table, one)] for one in own if _is_line(text, places[(*table, one)].key)]
    header = places.get(table)
    if header is not None and not _is_header(text, header.value):
        return _in_braces(text, header.value, f"{key(name)} = {inline(value)}", bool(own))
    if spans:
        after = max(_last_line(text, place.value) for place in spans)
    else:
        after = header.value.line if header is not None else 0
    lines = text.splitlines(keepends=True) if "\r" in text else text.split("\n")
    return _with_line(text, after, f"{key(name)} = {inline(value)}") if lines else text


def _is_header(text: str, span: Span) -> bool:
    return text.split("\n")[span.line - 1].lstrip().startswith("[") and span.column <= 1 + _indent(
        text, span.line
    )


def _indent(text: str, line: int) -> int:
    whole = text.split("\n")[line - 1]
    return len(whole) - len(whole.lstrip())


def _is_line(text: str, span: Span) -> bool:
    """Whether a key stands on a line of its own, and not in a header."""
    return not text.split("\n")[span.line - 1].lstrip().startswith("[")


def _last_line(text: str, span: Span) -> int:
    return span.line + text.replace("\r\n", "\n")[span.start : span.start + span.length].count("\n")


def _with_line(text: str, after: int, line: str) -> str:
    offset = _offset(text, after + 1, 1) if after else 0
    head, tail = text[:offset], text[offset:]
    return _ended(head) + line + _line_break(text) + tail


def _in_braces(text: str, span: Span, entry: str, more: bool) -> str:
    end = _offset(text, span.line, span.column) + span.length - 1
    head = text[:end].rstrip(" ")
    return f"{head}{', ' if more else ' '}{entry} {text[end:]}"


def _ended(text: str) -> str:
    return text if not text or text.endswith("\n") else text + _line_break(text)


def _line_break(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"
