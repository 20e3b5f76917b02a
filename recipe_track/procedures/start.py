"""A new recipe repository: settings, schemas for editors, and a small craft to write over."""

import re
import shutil
from collections.abc import Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from recipe_track.errors import CallError
from recipe_track.history.commit_to_main import commit_record
from recipe_track.history.people import compose, identity
from recipe_track.history.repository import create_repository, open_repository
from recipe_track.procedures.writing import Done
from recipe_track.recipe.craft import MAIN_BRANCH
from recipe_track.recipe.fields import ID_PATTERN
from recipe_track.textfiles.meaning.schema import FOLDER, schema_files, schema_line

STARTER_MODEL = "boat"
GITATTRIBUTES = "* text=auto eol=lf\n*.toml text eol=lf\n"


def start(target: Path, model: str | None = None, dry_run: bool = False) -> Done:
    """Write a new repository with one commit; refuses a folder that holds anything.

    Raises CallError for a folder in use or a model that cannot be named so, RepositoryError without git,
    Refused where git does not know who is at work.
    """
    _check_name(model)
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise CallError(f"{target} is not an empty folder", "name a folder that does not exist yet")
    contents = dict(starting_files(model or STARTER_MODEL))
    said = (f"{len(contents)} files in {target}",)
    if dry_run:
        return Done(None, None, said, contents, dry_run=True)
    return Done(None, _first_commit(target, contents), said, contents)


def _first_commit(target: Path, contents: dict[str, bytes]) -> str:
    """The repository with its one commit; nothing is left of it where that cannot be made."""
    was_there = target.exists()
    try:
        create_repository(target, MAIN_BRANCH)
        with open_repository(target) as repo:
            identity(repo)
            trailers = [("Reason", "first issue of the recipe")]
            message = compose("Start a recipe repository", "", trailers)
            return commit_record(repo, MAIN_BRANCH, contents, message)
    except BaseException:
        shutil.rmtree(target / ".git" if was_there else target, ignore_errors=True)
        raise


def _check_name(model: str | None) -> None:
    if model is not None and not re.fullmatch(ID_PATTERN, model):
        raise CallError(f"`{model}` cannot name a model", "small letters, digits and hyphens")


def starting_files(model: str) -> Iterator[tuple[str, bytes]]:
    """Path and bytes of every file of a new repository."""
    yield ".gitattributes", GITATTRIBUTES.encode()
    for name, text in schema_files().items():
        yield f"{FOLDER}/{name}", text.encode()
    for path, data in _below(files("recipe_track.procedures") / "starter", ""):
        path = path.replace(f"models/{STARTER_MODEL}/", f"models/{model}/")
        yield path, f"{schema_line(path)}\n".encode() + data


def _below(folder: Traversable, prefix: str) -> Iterator[tuple[str, bytes]]:
    for entry in sorted(folder.iterdir(), key=lambda e: e.name):
        if entry.is_dir():
            yield from _below(entry, f"{prefix}{entry.name}/")
        elif entry.name.endswith(".toml"):
            yield prefix + entry.name, entry.read_bytes()
