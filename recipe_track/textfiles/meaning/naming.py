"""How keys, places and values are called in a message, and which keys a table may have."""

import re
from datetime import date
from typing import Any, get_args, get_origin

from pydantic import BaseModel

from recipe_track.errors import Key


def fields_at(model: type[BaseModel], path: Key) -> list[str]:
    """The keys of the table at a path of a file; empty where keys are free or no table is known."""
    current: type[BaseModel] | None = model
    free = False
    for part in path:
        if isinstance(part, int) or free:
            free = False
        elif current is None or part not in current.model_fields:
            return []
        else:
            annotation = current.model_fields[part].annotation
            current, free = table_of(annotation), _has_free_keys(annotation)
    return [] if current is None or free else keys_of(current)


def keys_of(model: type[BaseModel]) -> list[str]:
    """The keys of a table as they stand in a file, where one may be no name in Python."""
    return [field.alias or name for name, field in model.model_fields.items()]


def table_of(annotation: Any) -> type[BaseModel] | None:
    """The model inside an annotation: of a table, of the rows of a list, of the values of a mapping."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((table for one in get_args(annotation) if (table := table_of(one)) is not None), None)


def _has_free_keys(annotation: Any) -> bool:
    return get_origin(annotation) is dict or any(_has_free_keys(one) for one in get_args(annotation))


ROW_NAMES = {
    "layup": "layer",
    "directions": "direction",
    "layers": "layer",
    "hull_action": "hull action",
    "attachments": "attachment",
    "weighed": "alternative",
}
LONGEST = 48
LONGEST_BITS = 10_000


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


def described(value: Any) -> str:
    """What kind of value stands in the file."""
    if isinstance(value, bool):
        return shown(value)
    kinds = {str: "text", list: "a list", dict: "a table", date: "a date", int: "a number", float: "a number"}
    if isinstance(value, float) and not value.is_integer():
        return shown(value)
    if isinstance(value, int) and value.bit_length() > LONGEST_BITS:
        return shown(value)
    return kinds.get(type(value), "a time")


def shown(value: Any) -> str:
    """A value as it stands in the file, short and on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{plain(value)}"'
    if isinstance(value, int) and value.bit_length() > LONGEST_BITS:
        return "a number of thousands of digits"  # which Python refuses to write in full
    return described(value) if isinstance(value, (list, dict)) else plain(str(value))


def plain(text: str, longest: int = LONGEST) -> str:
    """Text typed by people, safe to show inside a message: no control characters, not endless."""
    clipped = text if len(text) <= longest else text[:longest] + "…"
    return "".join(char if char.isprintable() else f"\\u{ord(char):04X}" for char in clipped)


def alternatives(names: list[str]) -> str:
    """`a`, `a or b`, `a, b or c`."""
    return " or ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]
