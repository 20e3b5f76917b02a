"""One run of git: how it is started, with which options and environment, and what it left behind.

GitPython starts the processes and does no more here: its objects are slow in bulk, not safe between threads,
and cannot read every shape of repository.
"""

import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, cast

from recipe_track.errors import CallError, RepositoryError
from recipe_track.history.neutral import ENVIRONMENT, OVERRIDES
from recipe_track.history.wording import command_to_trust, says_disk_is_full, says_not_fetched

if TYPE_CHECKING:
    import git

# Paths are names, not patterns: a zone called `[a]` is that zone, and none of ours is ever a pathspec.
# Replacement refs would show another content under an id that labels and records hold on to.
# Reading must not take index.lock just to refresh the index: a person's own `git add` would fail beside it.
GLOBAL_OPTIONS = ("--no-pager", "--literal-pathspecs", "--no-replace-objects", "--no-optional-locks")
# What is recognised by git's words (wording.py) is English on every machine.
_ENGLISH = {"LC_ALL": "C", "LANGUAGE": "C"}

# The names that `git rev-parse --local-env-vars` prints: they tie git to one repository, in a hook maybe
# another one than the folder asked for. GIT_INDEX_FILE is among them; a hook hands it over as an argument.
_LOCAL = (
    "GIT_ALTERNATE_OBJECT_DIRECTORIES",
    "GIT_COMMON_DIR",
    "GIT_CONFIG",
    "GIT_CONFIG_COUNT",
    "GIT_CONFIG_PARAMETERS",
    "GIT_DIR",
    "GIT_IMPLICIT_WORK_TREE",
    "GIT_INDEX_FILE",
    "GIT_INTERNAL_SUPER_PREFIX",
    "GIT_NO_REPLACE_OBJECTS",
    "GIT_OBJECT_DIRECTORY",
    "GIT_PREFIX",
    "GIT_REPLACE_REF_BASE",
    "GIT_SHALLOW_FILE",
    "GIT_WORK_TREE",
)
# These change what git prints, or clash with the fixed options above.
_TWISTING = (
    "GIT_ATTR_SOURCE",
    "GIT_DIFF_OPTS",
    "GIT_EXTERNAL_DIFF",
    "GIT_GLOB_PATHSPECS",
    "GIT_ICASE_PATHSPECS",
    "GIT_LITERAL_PATHSPECS",
    "GIT_NAMESPACE",
    "GIT_NOGLOB_PATHSPECS",
)


NOT_HERE = (
    "this clone lacks content that is needed, and nothing is fetched without being told to",
    "fetch the whole of it once: git fetch --refetch --no-filter; a damaged clone shows in git fsck",
)


@dataclass(frozen=True, slots=True)
class Answer:
    """What one run of git left behind."""

    status: int
    out: bytes
    err: str


def git_module() -> Any:
    """GitPython, loaded late; left to itself it refuses to load where git is missing."""
    os.environ["GIT_PYTHON_REFRESH"] = "quiet"
    import git

    return git


def clean_environment() -> None:
    """Drop the variables that would turn git away from the repository asked for or change its output."""
    for name in _LOCAL + _TWISTING:  # deleted, not emptied: an empty GIT_INDEX_FILE is an empty index
        os.environ.pop(name, None)


def run_git(
    launcher: "git.Git",
    folder: Path,
    args: Sequence[str],
    stdin: bytes | None = None,
    env: dict[str, str] | None = None,
) -> Answer:
    """Run git in a folder with a fixed list of arguments, whatever it answers."""
    from git.exc import GitCommandNotFound

    program = launcher.GIT_PYTHON_GIT_EXECUTABLE or "git"
    command = [program, "-C", os.fspath(folder), *GLOBAL_OPTIONS, *OVERRIDES, *args]
    for arg in command:
        if not can_be_argument(arg):
            raise CallError(f"git cannot be given the text {arg!r}")
    # A file and no pipe: thousands of ids for `cat-file --batch` fill a pipe while git, whose own output
    # nobody reads yet, waits in turn. Without input it is empty, so that git never reads a terminal.
    with _fed(stdin or b"") as feed:
        try:
            status, out, err = launcher.execute(
                command,
                istream=feed,
                with_extended_output=True,
                with_exceptions=False,
                stdout_as_string=False,
                strip_newline_in_stdout=False,
                env=_ENGLISH | ENVIRONMENT | (env or {}),
            )
        except GitCommandNotFound as error:
            raise RepositoryError(
                "git was not found", "install git 2.31 or newer, and see that it is on the PATH"
            ) from error
    return Answer(status, out or b"", err)


@contextmanager
def _fed(stdin: bytes) -> Iterator[BinaryIO]:
    """A file that git reads; full to the brim, a disk takes none."""
    try:
        feed = cast("BinaryIO", tempfile.TemporaryFile())  # noqa: SIM115
        feed.write(stdin)
        feed.seek(0)
    except OSError as error:
        raise RepositoryError(
            f"no temporary file can be written: {error.strerror}", "make room, or name a folder by TMPDIR"
        ) from error
    with feed:
        yield feed


def failure(answer: Answer, args: Sequence[str]) -> RepositoryError:
    """An error that says what git said."""
    said = answer.err.strip() or f"status {answer.status} without a word"
    trust = command_to_trust(said)
    if trust is not None:
        return RepositoryError(
            "this repository belongs to someone else, and git does not read it unless told to",
            f"if you trust it: {trust}",
        )
    if says_not_fetched(said):
        return RepositoryError(*NOT_HERE)
    if says_disk_is_full(said):
        return RepositoryError(
            f"no room is left on the disk, so nothing was written: {said}", "make room first"
        )
    settings = sum(1 for word in args if word == "-c")  # these stand first, each with its value
    return RepositoryError(f"git {args[2 * settings]} failed: {said}")


def can_be_argument(text: str) -> bool:
    """Whether a text can be handed to another program at all."""
    try:
        return b"\0" not in os.fsencode(text)
    except UnicodeEncodeError:
        return False


def as_path(raw: bytes) -> str:
    """A path as text; bytes that are no UTF-8 survive the way back to git."""
    return raw.decode("utf-8", "surrogateescape")
