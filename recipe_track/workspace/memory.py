"""What two commits say does not change while main and its tags stand: kept, not computed again."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import TYPE_CHECKING

from recipe_track.history.answers import program_state
from recipe_track.history.cache import open_cache

if TYPE_CHECKING:
    from recipe_track.workspace.opening import Workspace


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
