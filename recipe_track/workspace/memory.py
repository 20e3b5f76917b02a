"""What two commits say does not change while main and its tags stand: kept, not computed again."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from recipe_track import __version__
from recipe_track.history.cache import open_cache

if TYPE_CHECKING:
    from recipe_track.workspace.opening import Workspace

PACKAGE = Path(__file__).parents[1]


def remembered(ws: Workspace, key: tuple[str, ...], make: Callable[[], str]) -> str:
    """A text that follows from commits alone; made and kept where it is not known yet."""
    whole = "\0".join((*key, main_fingerprint(ws)))
    with open_cache(ws.repo, program_state()) as cache:
        kept = cache.get(whole)
        if isinstance(kept, str):
            return kept
        made = make()
        cache.put(whole, made)
        return made


def main_fingerprint(ws: Workspace) -> str:
    """A fingerprint of main, the release tags and the settings: all that labels, hulls and holds hang on."""
    stands = repr((ws.refs.main, ws.refs.releases, ws.main_branch, ws.repo.shallow))
    return hashlib.sha256(stands.encode("utf-8", "surrogateescape")).hexdigest()


def program_state() -> str:
    """The version of the program and the state of its files, so that no formula outlives its change."""
    files = sorted(PACKAGE.rglob("*.py"))
    state = [(str(file), stat.st_size, stat.st_mtime_ns) for file in files for stat in [file.stat()]]
    return f"{__version__} {hashlib.sha256(repr(state).encode()).hexdigest()}"
