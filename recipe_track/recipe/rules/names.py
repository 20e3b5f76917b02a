"""Names that are not known: the fault that says so, and the near name that was perhaps meant."""

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Literal

from recipe_track.errors import Fault, Key


def unknown(
    path: str,
    key: Key,
    kind: str,
    name: str,
    known: Iterable[str],
    *,
    of: str = "",
    where: str = "",
    at: Literal["value", "key"] = "value",
) -> Fault:
    """The fault of a name that no material, zone, hull, … of its kind has; its code is `unknown-<kind>`."""
    message = f"unknown {kind}{of} `{name}`{where}"
    return Fault(path, key, f"unknown-{kind}", message, nearest(name, known), at, name)


def nearest(name: str, known: Iterable[str]) -> str:
    """A hint that names the nearest known name, or those there are; empty where there is none."""
    names = sorted(known)
    close = get_close_matches(name, names, n=1, cutoff=0.6)
    if close:
        return f"did you mean `{close[0]}`?"
    if not names:
        return ""
    shown = ", ".join(f"`{n}`" for n in names[:8])
    return f"known: {shown}{', …' if len(names) > 8 else ''}"
