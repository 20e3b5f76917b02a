"""Which files a revision or the work tree holds, and their bytes, each read once."""

from __future__ import annotations

import os
import stat
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from recipe_track.errors import RepositoryError
from recipe_track.history.objects import RECIPE_ROOTS, read_many, tree
from recipe_track.recipe.paths import file_at

if TYPE_CHECKING:
    from recipe_track.history.ancestry import Ancestor
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


def working(root: Path, with_records: bool) -> tuple[dict[str, bytes], dict[str, str]]:
    """Path → bytes of the recipe files as they lie, and of what is none in the place of one, what it is.

    Of a link it is where it leads, as git stores it.
    """
    found: dict[str, bytes] = {}
    odd: dict[str, str] = {}
    for name in RECIPE_ROOTS if with_records else RECIPE_ONLY:
        for path in _files(root / name):
            named = path.relative_to(root).as_posix()
            if (what := what_else(path)) is None:
                found[named] = _bytes(path)
            else:
                odd[named] = what
    return found, odd


def what_else(path: Path) -> str | None:
    """What lies at a path where it is neither a file nor a link: opened, a pipe would wait for ever."""
    mode = path.lstat().st_mode
    if stat.S_ISREG(mode) or stat.S_ISLNK(mode):
        return None
    kinds = ((stat.S_ISDIR, "a folder"), (stat.S_ISFIFO, "a pipe"), (stat.S_ISSOCK, "a socket"))
    return next((words for test, words in kinds if test(mode)), "a device")


def _bytes(path: Path) -> bytes:
    try:
        return os.fsencode(path.readlink()) if path.is_symlink() else path.read_bytes()
    except OSError as error:
        raise RepositoryError(f"{path} cannot be read: {error.strerror}") from error


def _files(place: Path) -> Iterator[Path]:
    """What is called like a recipe file, whatever it is; but for what a submodule holds."""
    is_folder = place.is_dir() and not place.is_symlink()
    if place.suffix == ".toml" and os.path.lexists(place):
        yield place
    elif is_folder and not os.path.lexists(place / ".git"):
        for entry in sorted(os.scandir(place), key=lambda e: e.name):
            if not entry.name.startswith("."):
                yield from _files(Path(entry.path))


Tree = Mapping[str, str]


class Trees:
    """Path → object id of the recipe files of commits, each worked out once."""

    def __init__(self, repo: Repository, ancestors: Callable[[], Sequence[Ancestor]]) -> None:
        self._repo = repo
        self._ancestors = ancestors
        self._whole: dict[str, Tree] = {}
        self._recipes: dict[str, Tree] = {}

    def whole(self, commit: str) -> Tree:
        """Every file of a commit, records and hulls included."""
        if commit not in self._whole:
            self._whole.update(_replayed(self._ancestors(), {commit}, _is_read))
        if commit not in self._whole:  # not on main
            files = tree(self._repo, commit, RECIPE_ROOTS)
            self._whole[commit] = {path: oid for path, oid in files.items() if _is_read(path)}
        return self._whole[commit]

    def wholes(self, wanted: Iterable[str]) -> Mapping[str, Tree]:
        """Every file of many commits, those of main in one pass."""
        commits = set(wanted)
        self._whole.update(_replayed(self._ancestors(), commits - self._whole.keys(), _is_read))
        return {commit: self.whole(commit) for commit in commits}

    def recipe(self, commit: str) -> Tree:
        """The files of the recipe itself."""
        if commit not in self._recipes:
            whole = self.whole(commit)
            self._recipes[commit] = {path: oid for path, oid in whole.items() if is_recipe(path)}
        return self._recipes[commit]

    def recipes(self, wanted: Iterable[str]) -> Mapping[str, Tree]:
        """The recipes of many commits of main in one pass."""
        commits = set(wanted)
        self._recipes.update(_replayed(self._ancestors(), commits - self._recipes.keys(), is_recipe))
        return {commit: self._recipes[commit] for commit in commits if commit in self._recipes}


def _replayed(
    ancestors: Sequence[Ancestor], wanted: Collection[str], keep: Callable[[str], bool]
) -> dict[str, dict[str, str]]:
    """Path → object id at the commits wanted, each grown from its first parent's files."""
    children = Counter(commit.parents[0] for commit in ancestors if commit.parents)
    alive: dict[str, dict[str, str]] = {}
    replayed: dict[str, dict[str, str]] = {}
    for commit in ancestors:
        files = _inherited(commit, alive, children)
        for touch in commit.touches:
            files.pop(touch.path, None)
            if touch.after and keep(touch.path):
                files[touch.path] = touch.after.rsplit(":", 1)[-1]
        alive[commit.id] = files
        if commit.id in wanted:
            replayed[commit.id] = dict(files)
    return replayed


def _inherited(commit: Ancestor, alive: dict[str, dict[str, str]], children: Counter[str]) -> dict[str, str]:
    """The files of the first parent: its own ones for its last child, so that a long line is never copied."""
    parent = commit.parents[0] if commit.parents else None
    if parent not in alive:
        return {}
    children[parent] -= 1
    return alive.pop(parent) if not children[parent] else dict(alive[parent])


def _is_read(path: str) -> bool:
    return path.endswith(".toml") and path.startswith(RECIPE_ROOTS)


def zones_ever(ancestors: Sequence[Ancestor]) -> Mapping[str, frozenset[str]]:
    """Zone names that commits ever touched, per model."""
    names: dict[str, set[str]] = {}
    for path in {touch.path for commit in ancestors for touch in commit.touches}:
        file = file_at(path)
        if file and file.model and file.kind == "zone":
            names.setdefault(file.model, set()).add(file.id)
    return {model: frozenset(zones) for model, zones in names.items()}
