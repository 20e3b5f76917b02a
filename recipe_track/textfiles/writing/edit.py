"""Edits of whole lines that leave every other byte of a file alone, checked by reading the result again.

The texts are those of valid files, with their own line ends.
"""

from collections.abc import Mapping
from typing import Any

import tomli

from recipe_track.errors import Key, Refused
from recipe_track.textfiles.syntax.places import Place, Span, positions
from recipe_track.textfiles.writing.render import assignment, inline, key

BY_HAND = "edit the file by hand"


def set_value(text: str, path: Key, value: Any) -> str:
    """Give the key at a path a value, in its place or on a new line at the end of its table."""
    places, expected = positions(text), tomli.loads(text)
    _at(expected, path[:-1])[path[-1]] = _as_read(value)
    if path not in places:
        new = _inserted(text, path, value, places)
    elif _is_header(places[path]):
        raise Refused(f"`{path[-1]}` is a table of its own", BY_HAND)
    else:
        start, end = _bounds(text, places[path].value)
        new = text[:start] + inline(value) + text[end:]
    return _checked(new, expected)


def append_table(text: str, name: str, values: Mapping[str, Any]) -> str:
    """Add a `[[name]]` table at the end of the file; keys without a value (None) are left out."""
    data, given = tomli.loads(text), {one: value for one, value in values.items() if value is not None}
    rows = data.setdefault(name, [])
    if rows and not _is_header(positions(text)[(name,)]):
        raise Refused(f"`{name}` is not written as [[{name}]] tables", BY_HAND)
    rows.append({one: _as_read(value) for one, value in given.items()})
    lines = "\n".join(["", f"[[{key(name)}]]", *(assignment(*one) for one in given.items()), ""])
    return _checked(_ended(text) + lines.replace("\n", _line_break(text)), data)


def set_row(text: str, name: str, match: Mapping[str, Any], values: Mapping[str, Any]) -> str:
    """Give keys of the one `[[name]]` table that matches new values, or append such a table."""
    rows = tomli.loads(text).get(name, [])
    matching = [index for index, row in enumerate(rows) if match.items() <= row.items()]
    if len(matching) > 1:
        raise Refused(f"{len(matching)} [[{name}]] tables match {inline(match)}", "keep one of them")
    if not matching:
        return append_table(text, name, {**match, **values})
    for one, value in values.items():
        text = set_value(text, (name, matching[0], one), value)
    return text


def _checked(text: str, expected: dict[str, Any]) -> str:
    """The text, if it says exactly what was intended."""
    try:
        says = tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        raise Refused("the file cannot be edited without breaking it", BY_HAND) from error
    if says != expected:
        raise Refused("the file cannot be edited without changing more than was asked", BY_HAND)
    return text


def _as_read(value: Any) -> Any:
    return tomli.loads(f"v = {inline(value)}")["v"]


def _at(data: Any, path: Key) -> Any:
    for part in path:
        data = data[part]
    return data


def _is_header(place: Place) -> bool:
    """Whether a key's value is a table under a header or implied by a dotted key."""
    return place.value.start <= place.key.start


def _inserted(text: str, path: Key, value: Any, places: Mapping[Key, Place]) -> str:
    table, line = path[:-1], f"{key(str(path[-1]))} = {inline(value)}"
    own = _at(tomli.loads(text), table)
    if table and text.replace("\r\n", "\n").startswith("{", places[table].value.start):
        return _in_braces(text, places[table].value, line, bool(own))
    keys = [place for one in own if not _is_header(place := places[(*table, one)])]
    if keys:
        after = max(_last_line(text, place.value) for place in keys)
    else:
        after = places[table].value.line if table else _leading_comments(text)
    return _with_line(text, after, line)


def _in_braces(text: str, span: Span, entry: str, more: bool) -> str:
    """The text with an entry behind the last one of a table in braces."""
    _, end = _bounds(text, span)
    head = text[: end - 1].rstrip(" ")
    return f"{head}{', ' if more else ' '}{entry} {text[end - 1 :]}"


def _with_line(text: str, after: int, line: str) -> str:
    offset = _offset(text, after + 1, 1)
    return _ended(text[:offset]) + line + _line_break(text) + text[offset:]


def _leading_comments(text: str) -> int:
    lines = text.split("\n")
    return next((number for number, line in enumerate(lines) if not line.startswith("#")), len(lines))


def _last_line(text: str, span: Span) -> int:
    return span.line + text.replace("\r\n", "\n").count("\n", span.start, span.start + span.length)


def _bounds(text: str, span: Span) -> tuple[int, int]:
    """The offsets between which a piece of text stands, whatever the line ends."""
    old = text.replace("\r\n", "\n")[span.start : span.start + span.length]
    start, last = _offset(text, span.line, span.column), old.rsplit("\n", 1)
    end = start + len(old) if len(last) == 1 else _offset(text, span.line + old.count("\n"), len(last[1]) + 1)
    return start, end


def _offset(text: str, line: int, column: int) -> int:
    """The offset of a place in a text, at most its end."""
    lines = text.split("\n")[: line - 1]
    return min(len(text), sum(len(one) + 1 for one in lines) + column - 1)


def _ended(text: str) -> str:
    return text if not text or text.endswith("\n") else text + _line_break(text)


def _line_break(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"
