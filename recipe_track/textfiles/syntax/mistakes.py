"""What people write where a value should stand, recognised, with what they most likely meant."""

import re
from collections.abc import Callable
from typing import NamedTuple

DECIMAL_COMMA = re.compile(r"[+-]?(?:\d{1,3}(?:[.' ]\d{3})++|\d[\d_]*+),\d++(?![\w.-]*+[ \t]*+=)")
NUMBER = r"[+-]?(?:\d[\d_]*)(?:\.\d+)?(?:[eE][+-]?\d+)?"
CURLY_QUOTES = "“”„‟«»‘’‚‛"
OTHER_KEY = re.compile(r"[^=\n#\[\]{}\"]+=")


class Diagnosis(NamedTuple):
    """What is wrong with a value, a hint, and the value that was probably meant (None: nothing to go on)."""

    code: str
    message: str
    hint: str = ""
    meant: object = None


def diagnose(phrase: str) -> Diagnosis:
    """What is wrong with a bare phrase that is no TOML value."""
    for pattern, tell in _KNOWN:
        match = pattern.fullmatch(phrase)
        if match is not None:
            return tell(match)
    return Diagnosis(
        "not-a-value",
        "this is not a value",
        "a value is a number, true or false, a date, or text between quotes",
    )


def _decimal_comma(match: re.Match[str]) -> Diagnosis:
    whole, _, decimals = match[0].rpartition(",")
    number = re.sub(r"[.' _]", "", whole) + "." + decimals
    return Diagnosis("decimal-comma", f"decimal comma in `{match[0]}`", f"write {number}", float(number))


def _leading_zero(match: re.Match[str]) -> Diagnosis:
    number = match["sign"] + (match["rest"].lstrip("0") or "0")
    number = number.replace(".", "0.", 1) if number.lstrip("+-").startswith(".") else number
    hint = f'write {number}, or "{match[0]}" between quotes if it is text'
    return Diagnosis("leading-zero", f"leading zero in `{match[0]}`", hint, float(number))


def _bare_point(match: re.Match[str]) -> Diagnosis:
    sign, digits = match["sign"], match[0].lstrip("+-")
    number = sign + ("0" + digits if digits.startswith(".") else digits + "0")
    return Diagnosis(
        "bare-point",
        f"a digit stands on both sides of the point, not `{match[0]}`",
        f"write {number}",
        float(number),
    )


def _unit(match: re.Match[str]) -> Diagnosis:
    return Diagnosis(
        "unit-in-value",
        f"a number stands alone, not `{match[0]}`",
        f"the unit is in the key: write {match['number']} in that unit",
        float(match["number"].replace("_", "")),
    )


def _thousands(match: re.Match[str]) -> Diagnosis:
    number = re.sub(r"[ ']", "", match[0])
    return Diagnosis(
        "blank-in-number", f"a number has no blanks, not `{match[0]}`", f"write {number}", float(number)
    )


def _date(match: re.Match[str]) -> Diagnosis:
    return Diagnosis(
        "date-form", f"a date is written year-month-day, not `{match[0]}`", "for example 2026-03-10"
    )


def _truth(match: re.Match[str]) -> Diagnosis:
    word = "true" if match[0].lower() in ("true", "yes", "on") else "false"
    return Diagnosis(
        "true-or-false",
        f"yes or no is written true or false, not `{match[0]}`",
        f"write {word}",
        word == "true",
    )


def _nothing(match: re.Match[str]) -> Diagnosis:
    return Diagnosis("no-value", f"`{match[0]}` is not a value", "leave the key out where nothing is known")


def _words(match: re.Match[str]) -> Diagnosis:
    return Diagnosis("missing-quotes", f"text without quotes: `{match[0]}`", f'write "{match[0]}"', match[0])


_KNOWN: list[tuple[re.Pattern[str], Callable[[re.Match[str]], Diagnosis]]] = [
    (re.compile(r"\d{1,2}[./]\d{1,2}[./]\d{2,4}|\d{4}[./]\d{1,2}[./]\d{1,2}|\d{4}-\d{1,2}-\d{1,2}"), _date),
    (DECIMAL_COMMA, _decimal_comma),
    (re.compile(r"(?P<sign>[+-]?)0(?P<rest>\d[\d]*(?:\.\d+)?)"), _leading_zero),
    (re.compile(r"(?P<sign>[+-]?)(?:\.\d+|\d+\.)"), _bare_point),
    (re.compile(r"[+-]?\d{1,3}(?:[ ']\d{3})+(?:\.\d+)?"), _thousands),
    (re.compile(rf"(?P<number>{NUMBER})[ \t]*(?:%|[^\W\d_][^\s=]*|°)"), _unit),
    (re.compile(r"true|false|yes|no|on|off", re.IGNORECASE), _truth),
    (re.compile(r"none|null|nil|n/a|-+|\?+", re.IGNORECASE), _nothing),
    (re.compile(r'(?=.*[^\W\d_])[^"\\=]+'), _words),
]


def bad_escape(escape: str) -> tuple[str, str]:
    """What is wrong with an escape in a text: message and hint."""
    if re.fullmatch(r"\\e|\\x[0-9A-Fa-f]{2}", escape):
        code = 0x1B if escape == r"\e" else int(escape[2:], 16)
        return f"`{escape}` is not part of TOML 1.0", f"write \\u{code:04X}"
    return f"`{escape}` stands for nothing", r"write \\ for a backslash, or put the text between ' and '"


def no_statement(line: str) -> tuple[str, str, str]:
    """What is wrong with a line that is neither a key with a value nor a header: code, message and hint."""
    if re.match(r"(?:<{7}|={7}|>{7}|\|{7})(?: |$)", line):
        return "conflict-marker", f"conflict marker {line[:7]}", "left over from a merge: delete the line"
    if line.startswith("{"):
        return "stray-braces", "a table in braces stands only behind a key or inside a list", ""
    if re.fullmatch(r"[\w.-]+", line):
        return "missing-value", f"`{line}` has no value", "write key = value"
    if not line.strip("]}, \t"):
        return (
            "closes-nothing",
            f"this `{line[:1]}` closes nothing",
            "delete it, or write its opening bracket",
        )
    if any(char in CURLY_QUOTES for char in line.split("=")[0]):
        return "curly-quotes", "curly quotes cannot enclose a key", "write the key without quotes"
    if OTHER_KEY.match(line):
        return (
            "not-a-key",
            "this is not a key",
            "a key is made of letters a–z, digits, - and _, or stands between quotes",
        )
    return "not-a-statement", "this is not `key = value`", "a comment starts with #"
