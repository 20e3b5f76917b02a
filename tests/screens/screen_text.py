"""A screen as plain lines, and golden screens to compare them with."""

import difflib
import html
import os
import re
from pathlib import Path

from textual.app import App

GOLDEN = Path(__file__).parent / "golden"
UPDATE = "UPDATE_SCREENS"
CELL = 12.2  # width of a character in an exported screenshot
_TEXT = re.compile(r'<text class="[^"]*-r\d+" x="([\d.]+)" y="([\d.]+)"[^>]*>(.*?)</text>')


def lines_of(app: App[None]) -> list[str]:
    """The text of an exported screenshot, put back into rows and columns."""
    rows: dict[float, list[tuple[float, str]]] = {}
    for x, y, text in _TEXT.findall(app.export_screenshot()):
        rows.setdefault(float(y), []).append((float(x), html.unescape(text).replace("\xa0", " ")))
    return [_row(rows[y]) for y in sorted(rows)]


def _row(pieces: list[tuple[float, str]]) -> str:
    line = ""
    for x, text in sorted(pieces):
        line = line.ljust(round(x / CELL)) + text
    return line.rstrip()


def text_of(app: App[None]) -> str:
    """The whole screen as one text."""
    return "\n".join(lines_of(app))


def colours_of(app: App[None]) -> set[str]:
    """Every colour of an exported screenshot's text and grounds, without those of the window around it."""
    return set(re.findall(r"fill: ?(#[0-9a-f]{6})", app.export_screenshot()))


def assert_golden(app: App[None], name: str) -> None:
    """The screen is as it was; set UPDATE_SCREENS=1 to accept it as it is, and read what changed."""
    shown = text_of(app) + "\n"
    file = GOLDEN / f"{name}.txt"
    if os.environ.get(UPDATE):
        file.write_text(shown, encoding="utf-8")
    expected = file.read_text(encoding="utf-8")
    assert shown == expected, "\n" + "\n".join(
        difflib.unified_diff(expected.splitlines(), shown.splitlines(), "golden", "shown", lineterm="")
    )
