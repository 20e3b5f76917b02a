"""Objects made for a look, kept beside the repository and thrown away: a dry run leaves nothing behind."""

import contextlib
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager

from recipe_track.history.repository import Repository


@contextmanager
def objects_aside(repo: Repository, wanted: bool = True) -> Iterator[None]:
    """While it lasts git writes its objects to a folder that is thrown away, and reads both."""
    if not wanted or repo.aside is not None:
        yield
        return
    with contextlib.ExitStack() as stack:
        folder = stack.enter_context(tempfile.TemporaryDirectory(prefix="recipe-track-"))
        stack.callback(setattr, repo, "aside", None)
        repo.aside = {
            "GIT_OBJECT_DIRECTORY": folder,
            "GIT_ALTERNATE_OBJECT_DIRECTORIES": _quoted(str(repo.common_dir / "objects")),
        }
        yield


def _quoted(path: str) -> str:
    """A path as an entry of a list that colons part, which takes C-style quotes."""
    escaped = path.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
