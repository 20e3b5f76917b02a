"""How keys, places and values are called in a message."""

import re
from datetime import date
from typing import Any

from recipe_track.errors import Key

ROW_NAMES = {"layup": "layer", "directions": "direction", "layers": "layer", "hull_action": "hull action"}
LONGEST = 48


def inside(path: Key) -> str:
    """Where a table lies, for a message: ` in layer 4`, empty for the file itself."""
    if not path:
        return ""
    if isinstance(path[-1], int):
        return f" in {ROW_NAMES.get(str(path[-2]), str(path[-2]))} {path[-1] + 1}"
    return f" in `{'.'.join(_key(part) for part in path)}`"


def _key(part: str | int) -> str:
    """One part of a dotted key, between quotes where TOML wants them."""
    return str(part) if re.fullmatch(r"[A-Za-z0-9_-]+", str(part)) else f'"{plain(str(part))}"'


def described(found: Any) -> str:
    """What kind of value stands in the file."""
    if isinstance(found, bool):
        return shown(found)
    names = {str: "text", list: "a list", dict: "a table", date: "a date", int: "a number", float: "a number"}
    if isinstance(found, float) and not found.is_integer():
        return shown(found)
    return names.get(type(found), "a time")


def shown(found: Any) -> str:
    """A value as it stands in the file, short and on one line."""
    if isinstance(found, bool):
        return "true" if found else "false"
    if isinstance(found, str):
        return f'"{plain(found)}"'
    return described(found) if isinstance(found, (list, dict)) else plain(str(found))


def plain(text: str, longest: int = LONGEST) -> str:
    """Text typed by people, safe to show inside a message: no control characters, not endless."""
    clipped = text if len(text) <= longest else text[:longest] + "…"
    return "".join(char if char.isprintable() else f"\\u{ord(char):04X}" for char in clipped)


def alternatives(words: list[str]) -> str:
    """`a`, `a or b`, `a, b or c`."""
    return " or ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]
