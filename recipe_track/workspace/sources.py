"""The bytes of a recipe repository: out of git's objects, or as the files lie in the work tree."""

import os
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from recipe_track.errors import RepositoryError
from recipe_track.history.blobs import RECIPE_ROOTS, read_many
from recipe_track.history.repository import Repository

RECIPE_ONLY = tuple(root for root in RECIPE_ROOTS if root not in ("hulls", "records"))


class Blobs:
    """Content of blobs by object id, each read once per command."""

    def __init__(self, repo: Repository) -> None:
        self._repo = repo
        self._known: dict[str, bytes] = {}

    def read(self, files: Mapping[str, str]) -> dict[str, bytes]:
        """The content of files given as path → object id."""
        self.fetch(files.values())
        return {path: self._known[oid] for path, oid in files.items()}

    def fetch(self, oids: Iterable[str]) -> None:
        """Read those not known yet, all in one go."""
        self._known.update(read_many(self._repo, (oid for oid in oids if oid not in self._known)))


def is_recipe(path: str) -> bool:
    """Whether a path belongs to the recipe itself, not to records or hulls."""
    return path.endswith(".toml") and path.startswith(RECIPE_ONLY)


def working(root: Path, with_records: bool) -> dict[str, bytes]:
    """Path → bytes of the recipe files as they lie; of a link where it leads, as git stores it."""
    found: dict[str, bytes] = {}
    for name in RECIPE_ROOTS if with_records else RECIPE_ONLY:
        for path in _files(root / name):
            found[path.relative_to(root).as_posix()] = _bytes(path)
    return found


def _bytes(path: Path) -> bytes:
    try:
        return os.fsencode(path.readlink()) if path.is_symlink() else path.read_bytes()
    except OSError as error:
        raise RepositoryError(f"{path} cannot be read: {error.strerror}") from error


def _files(place: Path) -> Iterator[Path]:
    if (place.is_file() or place.is_symlink()) and place.suffix == ".toml":
        yield place
    elif place.is_dir() and not place.is_symlink():
        for entry in sorted(os.scandir(place), key=lambda e: e.name):
            if not entry.name.startswith("."):
                yield from _files(Path(entry.path))
