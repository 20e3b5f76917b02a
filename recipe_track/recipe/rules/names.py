"""Near names, for a kind word where a name is not known."""

from collections.abc import Iterable
from difflib import get_close_matches


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
