"""Answers that follow from what is committed: kept while nothing they hang on has moved, and found at once.

Nothing else of the program is loaded to look one up.
"""

import hashlib
import os
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from recipe_track import __version__
from recipe_track.history.repository import Repository
from recipe_track.history.seen import SEEN

PACKAGE = Path(__file__).parents[1]
_IN_WORK_TREE = ("recipe-track.toml",)  # what is read there whatever the question is about


@dataclass(frozen=True, slots=True)
class Standing:
    """Where everything stands that an answer can hang on, and what this clone last saw of main."""

    refs: str
    seen: str


def standing(repo: Repository) -> Standing | None:
    """Every ref and HEAD, the settings and the models of the work tree, and where a shallow clone ends.

    None where a ref is damaged: whoever answers says which, and how to put it back.
    """
    answer = repo.run("show-ref", "--head")
    if answer.status not in (0, 1):  # 1: there are no refs yet
        return None
    rows = [row.split(b" ", 1) for row in answer.out.splitlines()]
    seen = next((oid for oid, name in rows if name == SEEN.encode()), b"")
    # The branch whose tip it is, for as long as it is: the tip's own id would be another with every commit.
    at = [name for oid, name in rows if oid == seen and name.startswith(b"refs/heads/")]
    rest = [b" ".join(row) for row in rows if row[1] != SEEN.encode()]
    fixed = [_bytes(repo.common_dir / "shallow"), *_work_tree(repo)]
    state = b"\0".join((*rest, *fixed, os.fsencode(repo.git_dir), os.fsencode(repo.place)))
    return Standing(hashlib.sha256(state).hexdigest(), (b" ".join(at) or seen).decode("utf-8", "replace"))


def _work_tree(repo: Repository) -> Iterable[bytes]:
    if repo.root is None:
        return ()
    models = sorted(path.parent.name for path in (repo.root / "models").glob("*/model.toml"))
    return (*(_bytes(repo.root / name) for name in _IN_WORK_TREE), *map(os.fsencode, models))


def _bytes(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError:
        return b""


def program_state() -> str:
    """The version of the program and the state of its files, so that no formula outlives its change."""
    files = sorted(PACKAGE.rglob("*.py"))
    state = [(str(file), stat.st_size, stat.st_mtime_ns) for file in files for stat in [file.stat()]]
    return f"{__version__} {sys.version} {hashlib.sha256(repr(state).encode()).hexdigest()}"
