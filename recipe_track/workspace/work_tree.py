"""The recipe files of a work tree as they lie; what lies in their places and is no plain file is named."""

import os
import re
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from recipe_track.errors import Problem, RepositoryError
from recipe_track.history.objects import RECIPE_ROOTS
from recipe_track.recipe.paths import ID, SETTINGS_PATH, file_at, kind_of_path
from recipe_track.textfiles.meaning.size import most_bytes, size_problem
from recipe_track.workspace.contents import RECIPE_ONLY

_KINDS = (
    (stat.S_ISLNK, "a link"),
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
)
# Folders that git holds; what lies behind a link in the place of one would be missing from every commit.
_FOLDERS = re.compile(rf"materials|hulls|records(?:/[0-9]{{4}})?|models(?:/{ID}){{0,2}}")


@dataclass(slots=True)
class Found:
    """Bytes by path, and by path what is wrong with what cannot be read as a file."""

    files: dict[str, bytes] = field(default_factory=dict)
    odd: dict[str, Problem] = field(default_factory=dict)


def working(root: Path, with_records: bool) -> dict[str, bytes]:
    """Path → bytes of the recipe files as they lie."""
    return look(root, with_records).files


def look(root: Path, with_records: bool) -> Found:
    """What lies in the places of recipe files; nothing is read but plain files that are not too large."""
    found = Found()
    for path in _paths(root, RECIPE_ROOTS if with_records else RECIPE_ONLY):
        _take(root, path, found)
    return found


def _take(root: Path, path: str, found: Found) -> None:
    place = root / path
    try:
        status = place.lstat()
        problem = odd(path, status)
        if problem is not None:
            found.odd[path] = problem
        elif stat.S_ISREG(status.st_mode):
            found.files[path] = place.read_bytes()
    except OSError as error:
        raise RepositoryError(f"{place} cannot be read: {error.strerror}") from error


def odd(path: str, status: os.stat_result) -> Problem | None:
    """What is wrong with what lies at a path, where it is no plain file or larger than any recipe."""
    if stat.S_ISREG(status.st_mode):
        kind = kind_of_path(path)
        large = kind is not None and status.st_size > most_bytes(kind)
        return size_problem(kind, path, status.st_size) if kind and large else None
    what = next((words for is_one, words in _KINDS if is_one(status.st_mode)), "a device")
    hint = "put the file itself here" if path.endswith(".toml") else "put the folder itself here"
    return Problem(path, None, None, "not-a-plain-file", f"it is {what}, and no file", hint)


def read_settings(root: Path) -> tuple[bytes | None, Problem | None]:
    """The settings as they lie, None where there are none, and what is wrong with what lies there instead."""
    found = Found()
    if os.path.lexists(root / SETTINGS_PATH):
        _take(root, SETTINGS_PATH, found)
    return found.files.get(SETTINGS_PATH), found.odd.get(SETTINGS_PATH)


def _paths(root: Path, names: tuple[str, ...]) -> Iterator[str]:
    """Every path that is read or named, folder by folder in order, however deep they lie in each other."""
    ahead = [name for name in reversed(names) if os.path.lexists(root / name)]
    while ahead:
        path = ahead.pop()
        mode = (root / path).lstat().st_mode
        if stat.S_ISDIR(mode) and file_at(path) is None:
            if os.path.lexists(root / path / ".git"):
                continue  # what a submodule holds is another repository's
            ahead += [f"{path}/{name}" for name in reversed(_entries(root / path))]
        elif path.lower().endswith(".toml") or (not stat.S_ISREG(mode) and _FOLDERS.fullmatch(path)):
            yield path


def _entries(folder: Path) -> list[str]:
    try:
        return sorted(one.name for one in os.scandir(folder) if not one.name.startswith("."))
    except OSError as error:
        raise RepositoryError(f"{folder} cannot be read: {error.strerror}") from error
