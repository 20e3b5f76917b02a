"""Whether anything on disk changed since the last look: working files, branches, tags."""

from collections.abc import Iterator
from pathlib import Path

from recipe_track.tui.session import Session
from recipe_track.workspace.contents import RECIPE_ONLY

REFS = ("refs", "reftable", "packed-refs")
Stamp = tuple[str, int, int]


def stamps(session: Session) -> frozenset[Stamp]:
    """Path, time and size of every file whose change may change a screen."""
    places = [session.common_dir / name for name in REFS] + [session.git_dir / "HEAD"]
    if session.root is not None:
        places += [session.root / name for name in RECIPE_ONLY]
    return frozenset(stamp for place in places for stamp in _stamps(place))


def _stamps(place: Path) -> Iterator[Stamp]:
    try:
        status = place.lstat()
        inside = sorted(place.iterdir()) if place.is_dir() and not place.is_symlink() else []
    except FileNotFoundError:
        return  # gone between two looks, which the missing stamp tells
    yield str(place), status.st_mtime_ns, status.st_size
    for entry in inside:
        yield from _stamps(entry)
