"""The state of one walk over a text: where it is, what it found, what it could not read."""

import re
from dataclasses import dataclass, field
from typing import Any

import tomli

from recipe_track.errors import Key
from recipe_track.textfiles.syntax.decoding import MOST_MISTAKES, TOO_MANY, Mistake

Extent = tuple[int, int]
KeyPart = tuple[str, Extent]
# What is passed over is never given back (`++`, `*+`): no text takes longer than its length.
BLANK = re.compile(r"[ \t]*+")
GAP = re.compile(r"(?:[ \t\n]++|#[^\n]*+)*+")
PART = r"""(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]++|\\[^\n])*+"|'[^'\n]*+')"""
KEY = rf"{PART}(?:[ \t]*+\.[ \t]*+{PART})*+"
ASSIGN = re.compile(rf"({KEY})[ \t]*+=")


@dataclass(slots=True)
class Cursor:
    """One pass over a text; a path of None stands for something that is read but kept nowhere."""

    text: str
    valid: bool  # tomli accepts the text
    pos: int = 0
    quiet: int = 0  # mistakes before this offset would only repeat the one already reported
    owed: int = 0  # brackets taken as closed whose closing may still come
    depth: int = 0
    reports: int = 0
    body: Extent = (0, 0)  # the last stretch of text that was searched for the end of a table in braces
    cut_short: bool = False
    data: dict[str, Any] = field(default_factory=dict)
    places: dict[Key, tuple[Extent, Extent]] = field(default_factory=dict)
    mistakes: list[Mistake] = field(default_factory=list)
    doubtful: set[Key] = field(default_factory=set)
    incomplete: set[Key] = field(default_factory=set)
    declared: set[Key] = field(default_factory=set)
    closed: set[Key] = field(default_factory=set)
    rows: set[Key] = field(default_factory=set)  # lists made of [[name]] tables

    def peek(self) -> str:
        """The character here, empty at the end and where nothing more is read."""
        return "" if self.cut_short else self.text[self.pos : self.pos + 1]

    def skip(self, pattern: re.Pattern[str]) -> None:
        """Pass over what matches here."""
        match = pattern.match(self.text, self.pos)
        self.pos = match.end() if match else self.pos

    def line_end(self) -> int:
        """The offset where this line ends."""
        end = self.text.find("\n", self.pos)
        return len(self.text) if end < 0 else end

    def at_line_start(self) -> bool:
        """Whether only blanks stand before on this line."""
        at = self.pos
        while at and self.text[at - 1] in " \t":
            at -= 1
        return not at or self.text[at - 1] == "\n"

    def line_of(self, offset: int) -> int:
        """The number of the line of an offset, from 1."""
        return self.text.count("\n", 0, offset) + 1

    def report(self, start: int, end: int, code: str, message: str, hint: str = "") -> None:
        """Note a mistake, unless the place is one that was given up; after too many, read no further."""
        self.reports += 1
        if start >= self.quiet:
            self.mistakes.append(Mistake(start, max(1, end - start), code, message, hint))
        if self.reports >= MOST_MISTAKES and not self.cut_short:
            self.mistakes.append(Mistake(start, 1, *TOO_MANY))
            self.give_up_all()

    def report_here(self, code: str, message: str, hint: str = "") -> None:
        """Note a mistake at this one character."""
        self.report(self.pos, self.pos + 1, code, message, hint)

    def give_up_line(self) -> None:
        """Read on with the next line."""
        self.pos = self.line_end()
        self.quiet = max(self.quiet, self.pos)

    def give_up_all(self) -> None:
        """Read no further."""
        self.cut_short = True
        self.pos = self.quiet = len(self.text)

    def doubt(self, path: Key | None) -> None:
        """Remember that a value could not be read as written."""
        if path is not None:
            self.doubtful.add(path)

    def lacks(self, path: Key | None) -> None:
        """Remember that something of a table could not be read."""
        self.incomplete.add(() if path is None else path)

    def report_twice(self, path: Key, extent: Extent) -> None:
        """Report that a key or table is given a second time."""
        first = self.line_of(self.places[path][0][0])
        hint = f"first in line {first}: keep one" if first != self.line_of(extent[0]) else "keep one"
        self.report(*extent, "given-twice", f"`{path[-1]}` is given twice", hint)


def scalar(token: str) -> Any:
    """The value of a token that is a whole TOML value, None for any other."""
    try:
        return tomli.loads(f"v = {token}")["v"]
    except (ValueError, RecursionError):
        return None


def key_parts(match: re.Match[str], group: int) -> list[KeyPart]:
    """The names of a dotted key, each with its place."""
    begin = match.start(group)
    return [
        (_plain(part[0]), (begin + part.start(), begin + part.end()))
        for part in re.finditer(PART, match[group])
    ]


def _plain(part: str) -> str:
    if part[0] not in "\"'":
        return part
    value = scalar(part)
    return value if isinstance(value, str) else part[1:-1]
