"""How large a recipe file may be: what no boat needs is not read."""

from recipe_track.errors import Problem
from recipe_track.recipe.fields import MOST_BYTES, MOST_RECORD_BYTES


def most_bytes(kind: str) -> int:
    """How many bytes a file of a kind may have."""
    return MOST_RECORD_BYTES if kind == "record" else MOST_BYTES


def too_large(kind: str, data: bytes) -> bool:
    """Whether a file is larger than its kind may be."""
    return len(data) > most_bytes(kind)


def size_problem(kind: str, path: str, size: int) -> Problem:
    """What is said of a file that is too large."""
    message = f"this file has {size:,} bytes; at most {most_bytes(kind):,} are read"
    return Problem(path, 1, 1, "too-large", message, "was something else pasted or saved here?")
