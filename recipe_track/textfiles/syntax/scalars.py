"""Reading one text, number, truth value or date behind its key, whatever stands there."""

import re
from typing import Any

from recipe_track.errors import Key
from recipe_track.textfiles.syntax.cursor import KEY, Cursor, scalar
from recipe_track.textfiles.syntax.mistakes import CURLY_QUOTES, DECIMAL_COMMA, bad_escape, diagnose

LONG = re.compile(r'"""(?:[^"\\]++|(?s:\\.)|"(?!""))*+""""{0,2}' + r"|'''(?:[^']++|'(?!''))*+''''{0,2}")
SHORT = re.compile(r'"(?:[^"\\\n]++|\\[^\n])*+"' + r"|'[^'\n]*+'")
ESCAPE = re.compile(r"\\(?:[btnfr\"\\]|u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|[ \t]*\n)|(\\x[0-9A-Fa-f]{2}|\\e|\\.)")
CURLY = re.compile(r"[“”„‟«»]([^\n“”„‟«»\"]*)[“”„‟«»\"]|[‘’‚‛]([^\n‘’‚‛']*)[‘’‚‛']")
CLOSERS = "]}, \t"
SHORT_TIME = re.compile(r"(?:\d{4}-\d\d-\d\d[Tt ])?\d\d:\d\d(?!:)")
STATEMENT_PHRASE = re.compile(r"[^#\n]*")
INNER_PHRASE = re.compile(r"[^,\]}#\n]*")
CURLY_QUOTED = "curly-quotes", "curly quotes cannot enclose text"
TWO_IN_ONE = re.compile(rf"(\S++)[ \t]++{KEY}[ \t]*+=")


def quoted(cursor: Cursor, path: Key | None) -> str | None:
    """A text between straight quotes."""
    start = cursor.pos
    long = cursor.text.startswith(('"""', "'''"), start)
    match = (LONG if long else SHORT).match(cursor.text, start)
    if match is None:
        _endless(cursor, path) if long else _unended(cursor, path)
        return None
    cursor.pos = match.end()
    escapes = ESCAPE.finditer(match[0]) if match[0][0] == '"' else iter(())
    bad = next((escape for escape in escapes if escape[1]), None)
    value = scalar(match[0]) if bad is None else None
    if bad is not None:
        cursor.report(start + bad.start(), start + bad.end(), "bad-escape", *bad_escape(bad[0]))
    elif value is None:
        message = "this text holds an escape that stands for no character"
        cursor.report(start, cursor.pos, "bad-escape", message)
    if value is None or "\ufffd" in value:
        cursor.doubt(path)
    return match[0].strip("\"'") if value is None else str(value)


def _endless(cursor: Cursor, path: Key | None) -> None:
    """A text over several lines without an end takes the rest of the file with it."""
    start = cursor.pos
    quotes = cursor.text[start : start + 3]
    cursor.doubt(path)
    message = f"the text that opens here with {quotes} never ends"
    cursor.report(start, start + 3, "unclosed-text", message, f"write {quotes} where it ends")
    cursor.give_up_all()


def _unended(cursor: Cursor, path: Key | None) -> None:
    """A text without its closing quote ends with its line, before the brackets that close there."""
    start, end = cursor.pos, cursor.line_end()
    line = cursor.text[start:end]
    cursor.doubt(path)
    curly = next((offset for offset, char in enumerate(line) if char in CURLY_QUOTES), None)
    if curly is not None:
        cursor.report(start + curly, start + curly + 1, *CURLY_QUOTED, 'write straight quotes "')
    else:
        hint = f"write {line[0]} where it ends"
        message = "the text that opens here does not end on its line"
        cursor.report(start, start + len(line.rstrip()), "unclosed-text", message, hint)
    cursor.pos = start + max(1, len(line.rstrip(CLOSERS)))
    cursor.quiet = end


def curly(cursor: Cursor, path: Key | None) -> str | None:
    """A text between typographic quotes, as word processors and telephones put them."""
    match = CURLY.match(cursor.text, cursor.pos)
    if match is None:
        _unended(cursor, path)
        return None
    cursor.doubt(path)
    meant = match[1] if match[1] is not None else match[2]
    hint = f'write "{meant}" with straight quotes'
    cursor.report(match.start(), match.end(), *CURLY_QUOTED, hint)
    cursor.pos = match.end()
    return meant


def bare(cursor: Cursor, path: Key | None, where: str) -> Any:
    """A value without quotes: a number, a truth value, a date, or something that is none."""
    start = cursor.pos
    phrase = _phrase(cursor, where)
    cursor.pos = start + len(phrase)
    if not phrase:
        cursor.doubt(path)
        return cursor.report(max(0, start - 1), start, "missing-value", "a value is missing here")
    value = scalar(phrase)
    if value is None:
        diagnosis = diagnose(phrase)
        cursor.doubt(path)
        cursor.report(start, cursor.pos, diagnosis.code, diagnosis.message, diagnosis.hint)
        return diagnosis.meant
    if SHORT_TIME.match(phrase):
        message = "a time is written with its seconds"
        cursor.report(start, cursor.pos, "time-without-seconds", message, "TOML 1.0: 07:30:00")
    return value


def _phrase(cursor: Cursor, where: str) -> str:
    """All that is meant as one value; a comma splits numbers in a list, and is a mistake elsewhere."""
    comma = DECIMAL_COMMA.match(cursor.text, cursor.pos) if where != "list" else None
    if comma is not None:
        return comma[0]
    pattern = STATEMENT_PHRASE if where == "statement" else INNER_PHRASE
    match = pattern.match(cursor.text, cursor.pos)
    phrase = match[0].rstrip() if match else ""
    joined = TWO_IN_ONE.match(phrase)
    inside = phrase.rstrip(",]} \t")
    if joined is not None:
        return joined[1]
    return inside if inside and scalar(inside) is not None else phrase
