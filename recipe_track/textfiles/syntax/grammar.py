"""A forgiving reader of TOML 1.0: the data, the place of every key and value, and every mistake, in one walk.

tomli says whether a text is TOML; this walk says where things stand in it, and goes on reading behind a
mistake so that the next one is found in the same run. On text that tomli accepts it yields the same data.
"""

import re
from dataclasses import dataclass
from typing import Any

from recipe_track.errors import Key
from recipe_track.textfiles.syntax.cursor import ASSIGN, BLANK, GAP, KEY, Cursor, Extent, KeyPart, key_parts
from recipe_track.textfiles.syntax.decoding import Mistake
from recipe_track.textfiles.syntax.mistakes import no_statement
from recipe_track.textfiles.syntax.nested import assign, descend

HEADER = re.compile(rf"(\[\[?)[ \t]*+({KEY})[ \t]*+(\]\]?)")
BROKEN_HEADER = re.compile(rf"(\[\[?)[ \t]*+({KEY})")
_UNCLOSED = ("unclosed-header", "this table header is not closed")
_NO_HEADER = ("not-a-header", "this is neither a table header nor inside a list")
COLON = re.compile(rf"({KEY})[ \t]*+:(?=[ \t])")


@dataclass(frozen=True, slots=True)
class Parsed:
    """What a text holds, where, and what was wrong with it.

    `doubtful` are values that could not be read as written, `incomplete` tables of which something could
    not be read; `cut_short` says that the end of the text could not be read.
    """

    data: dict[str, Any]
    places: dict[Key, tuple[Extent, Extent]]
    mistakes: tuple[Mistake, ...]
    doubtful: frozenset[Key]
    incomplete: frozenset[Key]
    cut_short: bool


@dataclass(frozen=True, slots=True)
class Section:
    """The table that a header opened; a path of None is kept nowhere."""

    table: dict[str, Any]
    path: Key | None


def read_toml(text: str, valid: bool = False) -> Parsed:
    """Read a text to its end whatever is in it; `valid` says that tomli accepts it."""
    cursor = Cursor(text, valid)
    section = Section(cursor.data, ())
    while True:
        cursor.skip(GAP)
        if cursor.peek() == "":
            break
        section = _header(cursor, section) if cursor.peek() == "[" else _statement(cursor, section)
    mistakes = tuple(sorted(cursor.mistakes, key=lambda mistake: mistake.start))
    doubtful, incomplete = frozenset(cursor.doubtful), frozenset(cursor.incomplete)
    return Parsed(cursor.data, cursor.places, mistakes, doubtful, incomplete, cursor.cut_short)


def _statement(cursor: Cursor, section: Section) -> Section:
    match = ASSIGN.match(cursor.text, cursor.pos)
    colon = COLON.match(cursor.text, cursor.pos)
    if match is None and colon is not None:
        end = colon.end()
        cursor.report(
            end - 1, end, "colon-for-equals", "`=` stands between a key and its value, not `:`", "write ="
        )
    if match or colon:
        assign(cursor, section.table, section.path, match or colon, "statement")  # type: ignore[arg-type]
        _end_of_statement(cursor)
    else:
        _no_statement(cursor, section)
    return section


def _no_statement(cursor: Cursor, section: Section) -> None:
    line = cursor.text[cursor.pos : cursor.line_end()].split("#")[0].strip()
    if cursor.owed and not line.strip("]}, \t"):
        cursor.owed -= 1
    else:
        cursor.lacks(section.path)
        cursor.report(cursor.pos, cursor.pos + len(line), *no_statement(line))
    cursor.give_up_line()


def _end_of_statement(cursor: Cursor) -> None:
    cursor.skip(BLANK)
    if cursor.peek() in ("", "\n", "#") or cursor.at_line_start():
        return
    if ASSIGN.match(cursor.text, cursor.pos):
        cursor.report_here("missing-line-break", "each key stands on its own line", "begin a new line here")
        return
    rest = cursor.text[cursor.pos : cursor.line_end()].split("#")[0].strip()
    hint = "a comment starts with #" if rest.strip("]},") else f"delete the `{rest}`"
    cursor.report(
        cursor.pos,
        cursor.pos + len(rest),
        "trailing-text",
        "nothing but a comment may follow the value",
        hint,
    )
    cursor.give_up_line()


def _header(cursor: Cursor, section: Section) -> Section:
    match = HEADER.match(cursor.text, cursor.pos)
    if match is None or len(match[1]) != len(match[3]):
        return _broken_header(cursor, section)
    cursor.pos = match.end()
    opened = _open(cursor, match[1] == "[[", key_parts(match, 2), match.span())
    _end_of_statement(cursor)
    return opened


def _broken_header(cursor: Cursor, section: Section) -> Section:
    """A line that starts like a header; its table is opened where its name can be read."""
    match = BROKEN_HEADER.match(cursor.text, cursor.pos)
    said = _UNCLOSED if match else _NO_HEADER
    hint = "a header is written [name], or [[name]] for one of several"
    cursor.report(cursor.pos, cursor.line_end(), *said, hint)
    cursor.lacks(section.path)
    if match is None:
        opened = Section({}, None)
    else:
        opened = _open(cursor, match[1] == "[[", key_parts(match, 2), match.span())
    cursor.give_up_line()
    return opened


def _open(cursor: Cursor, several: bool, parts: list[KeyPart], extent: Extent) -> Section:
    """The table of a header [a.b] or, where there are several, [[a.b]]."""
    parent, path = descend(cursor, cursor.data, (), parts, extent)
    name, key_extent = parts[-1]
    if path is None:
        return Section({}, None)
    path = (*path, name)
    cursor.places.setdefault(path, (key_extent, extent))
    if several:
        return _open_row(cursor, parent, path, (key_extent, extent))
    existing = parent.setdefault(name, {})
    if path in cursor.rows:
        message, hint = f"`[{name}]` cannot stand beside `[[{name}]]`", f"write [[{name}]] for one more"
        cursor.report(*extent, "table-beside-rows", message, hint)
        return Section({}, None)
    if not isinstance(existing, dict) or path in cursor.declared or path in cursor.closed:
        cursor.report_twice(path, key_extent)
        return Section({}, None)
    cursor.places[path] = (key_extent, extent)
    cursor.declared.add(path)
    return Section(existing, path)


def _open_row(cursor: Cursor, parent: dict[str, Any], path: Key, place: tuple[Extent, Extent]) -> Section:
    rows = parent.setdefault(str(path[-1]), [])
    if not isinstance(rows, list) or (rows and path not in cursor.rows) or path in cursor.closed:
        cursor.report_twice(path, place[0])
        return Section({}, None)
    cursor.rows.add(path)
    rows.append({})
    row_path = (*path, len(rows) - 1)
    cursor.places[row_path] = place
    return Section(rows[-1], row_path)
