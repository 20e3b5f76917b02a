"""Reading what stands behind a key: a value, a list of values, a table in braces."""

import re
from typing import Any

from recipe_track.errors import Key
from recipe_track.textfiles.syntax.cursor import ASSIGN, BLANK, GAP, Cursor, Extent, KeyPart, key_parts
from recipe_track.textfiles.syntax.mistakes import CURLY_QUOTES, no_statement
from recipe_track.textfiles.syntax.scalars import bare, curly, quoted

DEEPEST = 40
TOO_DEEP = "nested-too-deep", "lists and tables are nested too deep"
HEADER_LINE = re.compile(
    r"^\[{1,2}[A-Za-z_][\w.-]*(?:\.\"[^\"\n]*\")*\]{1,2}[ \t]*(?:#[^\n]*)?$", re.MULTILINE
)
CLOSING_LINE = re.compile(r"^[ \t]*\]", re.MULTILINE)
TO_CLOSER = re.compile(r"[^\]}\n]*")
TO_COMMA = re.compile(r"[^,}\n]*")
ROW_BODY = re.compile(r"(?:[^\[\]{}#\n]++|#[^\n]*+|\n(?![ \t]*+\n))*+")
BRACES_HINT = "write } before the line ends; a table that needs more lines is written [name]"


def value(cursor: Cursor, path: Key | None, where: str) -> Any:
    """The value that starts here (`where` is statement, list or row), None where none can be read."""
    char = cursor.peek()
    if char in ('"', "'"):
        return quoted(cursor, path)
    if char and char in CURLY_QUOTES:
        return curly(cursor, path)
    if char not in ("[", "{"):
        return bare(cursor, path, where)
    if cursor.depth >= DEEPEST:
        cursor.doubt(path)
        cursor.report_here(*TOO_DEEP)
        return cursor.give_up_all()
    cursor.depth += 1
    if path is not None:
        cursor.closed.add(path)
    read = _list(cursor, path) if char == "[" else _row(cursor, path)
    cursor.depth -= 1
    return read


def assign(cursor: Cursor, table: dict[str, Any], path: Key | None, match: re.Match[str], where: str) -> None:
    """Read the value behind a key and keep it in its table, at the path of that table."""
    parts = key_parts(match, 1)
    cursor.pos = match.end()
    table, path = descend(cursor, table, path, parts)
    name, extent = parts[-1]
    path = None if path is None else (*path, name)
    if path is not None and name in table:
        cursor.report_twice(path, extent)
        path = None
    cursor.skip(BLANK)
    start = cursor.pos
    if path is not None:
        cursor.places[path] = (extent, (start, start))
    read = value(cursor, path, where)
    if path is not None:
        cursor.places[path] = (extent, (start, cursor.pos))
        table[name] = read


def descend(
    cursor: Cursor,
    table: dict[str, Any],
    path: Key | None,
    parts: list[KeyPart],
    header: Extent | None = None,
) -> tuple[dict[str, Any], Key | None]:
    """The table that the last part of a dotted key belongs to, made where it is new."""
    if len(parts) > DEEPEST:
        cursor.lacks(path)
        cursor.report(parts[0][1][0], parts[-1][1][1], *TOO_DEEP)
        return {}, None
    for name, extent in parts[:-1]:
        if path is None:
            break
        path = (*path, name)
        child = table.setdefault(name, {})
        cursor.places.setdefault(path, (extent, header or extent))
        if header is None:
            cursor.declared.add(path)
        elif path in cursor.rows:
            path, child = (*path, len(child) - 1), child[-1]
        if not isinstance(child, dict) or path in cursor.closed:
            cursor.report_twice(path, extent)
            return {}, None
        table = child
    return table, path


def _list(cursor: Cursor, path: Key | None) -> list[Any]:
    opened = cursor.pos
    items: list[Any] = []
    cursor.pos += 1
    while True:
        cursor.skip(GAP)
        char = cursor.peek()
        if char == "]":
            cursor.pos += 1
            return items
        if char == "":
            _never_closed(cursor, path, opened)
            return items
        if char == ",":
            cursor.report_here("stray-comma", "a value is missing before this comma", "delete the comma")
            cursor.pos += 1
        elif char == "}":
            cursor.report_here("closes-nothing", "this `}` closes nothing", "delete it")
            cursor.pos += 1
        elif not _leaves_list(cursor):
            _item(cursor, path, items)
        elif not _stray_key(cursor, path, opened):
            return items


def _item(cursor: Cursor, path: Key | None, items: list[Any]) -> None:
    item_path = None if path is None else (*path, len(items))
    start = cursor.pos
    if item_path is not None:
        cursor.places[item_path] = ((start, start), (start, start))
    items.append(value(cursor, item_path, "list"))
    cursor.pos = end = max(cursor.pos, start + 1)
    if item_path is not None:
        cursor.places[item_path] = ((start, end), (start, end))
    cursor.skip(GAP)
    if cursor.peek() == ",":
        cursor.pos += 1
    elif cursor.peek() not in ("]", "", "}") and not _leaves_list(cursor):
        message, hint = "a comma is missing after this", "write , between the values of a list"
        cursor.report(end - 1, end, "missing-comma", message, hint)


def _leaves_list(cursor: Cursor) -> bool:
    """Whether what stands here cannot be meant as a value of a list."""
    if cursor.valid:
        return False
    header = cursor.at_line_start() and HEADER_LINE.match(cursor.text, cursor.pos)
    return bool(header or ASSIGN.match(cursor.text, cursor.pos))


def _stray_key(cursor: Cursor, path: Key | None, opened: int) -> bool:
    """Deal with a key or header inside a list; whether the list goes on behind it."""
    start = cursor.pos
    if not cursor.at_line_start():
        cursor.lacks(path)
        cursor.skip(TO_CLOSER)
        message = "a key and its value in a list stand in braces"
        cursor.report(start, cursor.pos, "missing-braces", message, "write { key = value }")
        return True
    header, closing = HEADER_LINE.search(cursor.text, start), CLOSING_LINE.search(cursor.text, start)
    one_line = cursor.text[opened + 1 : cursor.text.find("\n", opened)].split("#")[0].strip()
    if one_line or closing is None or (header is not None and header.start() < closing.start()):
        _never_closed(cursor, path, opened)
        return False
    hint = (
        f"a row is written {{ … }}, — or does the list of line {cursor.line_of(opened)} end before this line?"
    )
    cursor.report(start, cursor.line_end(), "stray-key", "a key cannot stand alone inside a list", hint)
    cursor.give_up_line()
    return True


def _never_closed(cursor: Cursor, path: Key | None, opened: int) -> None:
    cursor.owed += 1
    cursor.lacks(path)
    message, hint = "the list that opens here with `[` never closes", "write ] after its last value"
    cursor.report(opened, opened + 1, "unclosed-list", message, hint)


def _row(cursor: Cursor, path: Key | None) -> dict[str, Any]:
    opened, reported = cursor.pos, False
    table: dict[str, Any] = {}
    cursor.pos += 1
    while True:
        cursor.skip(BLANK)
        char = cursor.peek()
        if char == "}":
            cursor.pos += 1
            return table
        if char in ("", "\n", "#"):
            if not reported and cursor.pos > cursor.quiet:
                message = "the table that opens here with `{` does not close on its line"
                cursor.report(opened, opened + 1, "unclosed-table", message, BRACES_HINT)
            reported = True
            if not _goes_on(cursor):
                cursor.lacks(path)
                cursor.quiet = max(cursor.quiet, cursor.pos)
                return table
            cursor.skip(GAP)
        elif char == ",":
            if not cursor.valid:
                cursor.report_here("stray-comma", "a key is missing before this comma", "delete the comma")
            cursor.pos += 1
        else:
            _entry(cursor, table, path, reported)


def _entry(cursor: Cursor, table: dict[str, Any], path: Key | None, unclosed: bool) -> None:
    """One `key = value` of a table in braces, with the comma behind it."""
    match = ASSIGN.match(cursor.text, cursor.pos)
    if match is None:
        _no_entry(cursor, path)
    else:
        assign(cursor, table, path, match, "row")
    end = cursor.pos
    cursor.skip(GAP if unclosed and cursor.valid else BLANK)
    comma = cursor.pos
    if cursor.peek() == ",":
        cursor.pos += 1
        cursor.skip(GAP if unclosed else BLANK)
        if cursor.peek() == "}":
            message = "no comma may stand before the `}` of a table in braces"
            cursor.report(comma, comma + 1, "trailing-comma", message, "delete the comma")
    elif match is not None and cursor.peek() not in ("}", "\n", "#", ""):
        _no_comma(cursor, path, end)


def _no_comma(cursor: Cursor, path: Key | None, end: int) -> None:
    """Something stands between a value of a table in braces, which ended at `end`, and the next comma."""
    if ASSIGN.match(cursor.text, cursor.pos):
        message, hint = "a comma is missing after this", "write , between the keys of a table in braces"
        cursor.report(end - 1, end, "missing-comma", message, hint)
        return
    start = cursor.pos
    cursor.skip(TO_COMMA)
    cursor.lacks(path)
    hint = "is a quote missing before?" if '"' in cursor.text[start : cursor.pos] else ""
    message = "nothing but a comma or } may follow the value"
    cursor.report(start, cursor.pos, "trailing-text", message, hint)


def _no_entry(cursor: Cursor, path: Key | None) -> None:
    start = cursor.pos
    cursor.skip(TO_COMMA)
    cursor.lacks(path)
    cursor.report(start, cursor.pos, *no_statement(cursor.text[start : cursor.pos].strip()))


def _goes_on(cursor: Cursor) -> bool:
    """Whether a table in braces is meant to go on behind the line break (as TOML 1.1 has it)."""
    if cursor.peek() == "":
        return False
    if cursor.valid:
        return True
    start, end = cursor.body
    if not start <= cursor.pos <= end:  # else it would be searched again from every line of a long table
        match = ROW_BODY.match(cursor.text, cursor.pos)
        end = match.end() if match else cursor.pos
        cursor.body = cursor.pos, end
    return cursor.text.startswith("}", end)
