"""What people write where a value should stand, recognised, with what they most likely meant."""

import re
from collections.abc import Callable
from typing import NamedTuple

DECIMAL_COMMA = re.compile(r"[+-]?(?:\d{1,3}(?:[.' ]\d{3})+|\d[\d_]*),\d+(?![\w.-]*[ \t]*=)")
NUMBER = r"[+-]?(?:\d[\d_]*)(?:\.\d+)?(?:[eE][+-]?\d+)?"
CURLY_QUOTES = "“”„‟«»‘’‚‛"
OTHER_KEY = re.compile(r"[^=\n#\[\]{}\"]+=")


class Diagnosis(NamedTuple):
    """What is wrong with a value, a hint, and the value that was probably meant (None: nothing to go on)."""

    message: str
    hint: str = ""
    meant: object = None


def diagnose(phrase: str) -> Diagnosis:
    """What is wrong with a bare phrase that is no TOML value."""
    for pattern, tell in _KNOWN:
        found = pattern.fullmatch(phrase)
        if found is not None:
            return tell(found)
    return Diagnosis(
        "this is not a value", "a value is a number, true or false, a date, or text between quotes"
    )


def _decimal_comma(found: re.Match[str]) -> Diagnosis:
    whole, _, decimals = found[0].rpartition(",")
    number = re.sub(r"[.' _]", "", whole) + "." + decimals
    return Diagnosis(f"decimal comma in `{found[0]}`", f"write {number}", float(number))


def _leading_zero(found: re.Match[str]) -> Diagnosis:
    number = found["sign"] + (found["rest"].lstrip("0") or "0")
    number = number.replace(".", "0.", 1) if number.lstrip("+-").startswith(".") else number
    hint = f'write {number}, or "{found[0]}" between quotes if it is text'
    return Diagnosis(f"leading zero in `{found[0]}`", hint, float(number))


def _bare_point(found: re.Match[str]) -> Diagnosis:
    sign, digits = found["sign"], found[0].lstrip("+-")
    number = sign + ("0" + digits if digits.startswith(".") else digits + "0")
    return Diagnosis(
        f"a digit stands on both sides of the point, not `{found[0]}`", f"write {number}", float(number)
    )


def _unit(found: re.Match[str]) -> Diagnosis:
    return Diagnosis(
        f"a number stands alone, not `{found[0]}`",
        f"the unit is in the key: write {found['number']} in that unit",
        float(found["number"].replace("_", "")),
    )


def _thousands(found: re.Match[str]) -> Diagnosis:
    number = re.sub(r"[ ']", "", found[0])
    return Diagnosis(f"a number has no blanks, not `{found[0]}`", f"write {number}", float(number))


def _date(found: re.Match[str]) -> Diagnosis:
    return Diagnosis(f"a date is written year-month-day, not `{found[0]}`", "for example 2026-03-10")


def _truth(found: re.Match[str]) -> Diagnosis:
    word = "true" if found[0].lower() in ("true", "yes", "on") else "false"
    return Diagnosis(f"yes or no is written true or false, not `{found[0]}`", f"write {word}", word == "true")


def _nothing(found: re.Match[str]) -> Diagnosis:
    return Diagnosis(f"`{found[0]}` is not a value", "leave the key out where nothing is known")


def _words(found: re.Match[str]) -> Diagnosis:
    return Diagnosis(f"text without quotes: `{found[0]}`", f'write "{found[0]}"', found[0])


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
    """What is wrong with an escape in a text, and a hint."""
    if re.fullmatch(r"\\e|\\x[0-9A-Fa-f]{2}", escape):
        code = 0x1B if escape == r"\e" else int(escape[2:], 16)
        return f"`{escape}` is not part of TOML 1.0", f"write \\u{code:04X}"
    return f"`{escape}` stands for nothing", r"write \\ for a backslash, or put the text between ' and '"


def no_statement(line: str) -> tuple[str, str]:
    """What is wrong with a line that is neither a key with a value nor a header, and a hint."""
    if re.match(r"(?:<{7}|={7}|>{7}|\|{7})(?: |$)", line):
        return f"conflict marker {line[:7]}", "left over from a merge: delete the line"
    if line.startswith("{"):
        return "a table in braces stands only behind a key or inside a list", ""
    if re.fullmatch(r"[\w.-]+", line):
        return f"`{line}` has no value", "write key = value"
    if not line.strip("]}, \t"):
        return f"this `{line[:1]}` closes nothing", "delete it, or write its opening bracket"
    if any(char in CURLY_QUOTES for char in line.split("=")[0]):
        return "curly quotes cannot enclose a key", "write the key without quotes"
    if OTHER_KEY.match(line):
        return "this is not a key", "a key is made of letters a–z, digits, - and _, or stands between quotes"
    return "this is not `key = value`", "a comment starts with #"
