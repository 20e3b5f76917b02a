"""Open a repository of any shape and run git in it; GitPython does no more here than start the processes."""

import os
import re
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from recipe_track.errors import CallError, RepositoryError

if TYPE_CHECKING:
    import git


OLDEST_GIT = (2, 31)
_LONGEST_REVISION = 1000
_OBJECT_ID = re.compile(rb"[0-9a-f]{40}(?:[0-9a-f]{24})?\n?\Z")


@dataclass(frozen=True, slots=True)
class Answer:
    """What one run of git left behind."""

    status: int
    out: bytes
    err: str


@dataclass(eq=False)
class Repository:
    """One open repository; a thread opens its own. `root` is None where there is no work tree."""

    root: Path | None
    git_dir: Path
    common_dir: Path
    bare: bool
    shallow: bool
    object_format: str
    index_file: str | None
    launcher: "git.Git" = field(repr=False)

    @property
    def place(self) -> Path:
        """The folder git runs in."""
        return self.root or self.git_dir

    @cached_property
    def git_version(self) -> tuple[int, ...]:
        """The version of git, asked for once."""
        return _git_version(self.launcher)

    def run(
        self,
        *args: str,
        stdin: bytes | None = None,
        env: dict[str, str] | None = None,
        at: Path | None = None,
    ) -> Answer:
        """Run git with a fixed list of arguments, here or in another work tree, whatever it answers."""
        return _run(self.launcher, at or self.place, args, stdin, env)

    def git(
        self,
        *args: str,
        stdin: bytes | None = None,
        ok: Sequence[int] = (0,),
        env: dict[str, str] | None = None,
        at: Path | None = None,
    ) -> bytes:
        """What git prints; a status that is not expected is an error with git's own words."""
        answer = self.run(*args, stdin=stdin, env=env, at=at)
        if answer.status not in ok:
            raise failure(answer, args)
        return answer.out


@contextmanager
def open_repository(path: Path | str, *, index_file: str | None = None) -> Iterator[Repository]:
    """Open the repository that holds a folder; a hook hands over the GIT_INDEX_FILE it was given."""
    clean_environment()
    module = _git_module()
    folder = Path(path).absolute()
    if not folder.is_dir():
        raise RepositoryError(f"there is no folder {folder}")
    try:
        repo = module.Repo(folder, search_parent_directories=True, expand_vars=False)
    except (module.InvalidGitRepositoryError, module.NoSuchPathError) as error:
        raise RepositoryError(
            f"no git repository in {folder} or above it",
            "start one with `recipe-track new DIR`, or name one with -C",
        ) from error
    try:
        yield _look_around(repo.git, Path(repo.working_dir), index_file)
    finally:
        repo.close()


def run_anywhere(folder: Path, *args: str) -> Answer:
    """Run a command of git that needs no repository, with a fixed list of arguments, whatever it answers."""
    clean_environment()
    return _run(_git_module().Git(os.fspath(folder)), folder, args, None, None)


def create_repository(path: Path | str, main_branch: str, *, plain: bool = False) -> None:
    """Start a repository with an empty main branch; a plain one takes no templates of the machine."""
    clean_environment()
    launcher = _git_module().Git(os.fspath(path))
    options = ("--object-format=sha1", "--template=") if plain else ()
    args = ("init", "--quiet", *options, f"--initial-branch={main_branch}")
    Path(path).mkdir(parents=True, exist_ok=True)
    answer = _run(launcher, Path(path).absolute(), args, None, None)
    if answer.status != 0:
        raise failure(answer, args)


def resolve(repo: Repository, text: str) -> str:
    """The commit that a revision typed by a person stands for."""
    unknown = CallError(
        f"there is no revision `{text}`", "any git revision, a label such as `r7` or `r7+2`, or `working`"
    )
    if not text or len(text) > _LONGEST_REVISION or "\n" in text or not _can_be_argument(text):
        raise unknown
    verify = ("rev-parse", "--verify", "--quiet", "--end-of-options")
    if text.startswith(":/"):  # all that follows is looked for in messages
        text = repo.run(*verify, text).out.decode().strip()
    out = repo.run(*verify, f"{text}^{{commit}}").out
    if not _OBJECT_ID.match(out):  # `^main` resolves too, to a line that is no id
        raise unknown
    return out.decode().strip()


def failure(answer: Answer, args: Sequence[str]) -> RepositoryError:
    """An error that says what git said."""
    said = answer.err.strip() or f"status {answer.status} without a word"
    if "dubious ownership" in said:
        return _foreign_owner(said)
    settings = sum(1 for word in args if word == "-c")  # these stand first, each with its value
    return RepositoryError(f"git {args[2 * settings]} failed: {said}")


def _foreign_owner(said: str) -> RepositoryError:
    named = re.search(r"git config --global --add safe\.directory .+", said)
    command = named.group().strip() if named else "git config --global --add safe.directory DIR"
    return RepositoryError(
        "this repository belongs to someone else, and git does not read it unless told to",
        f"if you trust it: {command}",
    )


def _git_module() -> Any:
    """GitPython, loaded late; left to itself it refuses to load where git is missing."""
    os.environ["GIT_PYTHON_REFRESH"] = "quiet"
    import git

    return git


def _look_around(launcher: "git.Git", folder: Path, index_file: str | None) -> Repository:
    asked = (
        "--is-bare-repository",
        "--is-shallow-repository",
        "--show-object-format",
        "--git-dir",
        "--git-common-dir",
    )
    args = ("rev-parse", "--path-format=absolute", *asked, "--show-toplevel")
    answer = _run(launcher, folder, args, None, None)
    lines = _lines(answer)
    if lines[:1] == ["--path-format=absolute"]:
        raise _too_old(_git_version(launcher))
    bare = lines[:1] == ["true"]
    if len(lines) > 6 - bare:  # the name of a folder holds a line end
        options = (*asked, *(() if bare else ("--show-toplevel",)))
        alone = (_run(launcher, folder, (*args[:2], option), None, None) for option in options)
        lines = ["\n".join(_lines(one)) for one in alone]
    if len(lines) != (5 if bare else 6) or answer.status not in ((0, 128) if bare else (0,)):
        raise failure(answer, args)
    root = None if bare else Path(lines[5])
    git_dir, common_dir = Path(lines[3]), Path(lines[4])
    return Repository(root, git_dir, common_dir, bare, lines[1] == "true", lines[2], index_file, launcher)


def _lines(answer: Answer) -> list[str]:
    return os.fsdecode(answer.out).removesuffix("\n").split("\n")


def _git_version(launcher: "git.Git") -> tuple[int, ...]:
    answer = _run(launcher, Path.cwd(), ("version",), None, None)
    return tuple(int(part) for part in re.findall(rb"\d+", answer.out)[:3])


def _too_old(version: tuple[int, ...]) -> RepositoryError:
    found, needed = (".".join(map(str, numbers)) for numbers in (version, OLDEST_GIT))
    return RepositoryError(f"git {found} is too old; {needed} or newer is needed", "install a newer git")


def _run(
    launcher: "git.Git", folder: Path, args: Sequence[str], stdin: bytes | None, env: dict[str, str] | None
) -> Answer:
    from git.exc import GitCommandNotFound

    program = launcher.GIT_PYTHON_GIT_EXECUTABLE or "git"
    command = [program, "-C", os.fspath(folder), *GLOBAL_OPTIONS, *args]
    for arg in command:
        if not _can_be_argument(arg):
            raise CallError(f"git cannot be given the text {arg!r}")
    with tempfile.TemporaryFile() as feed:  # a pipe could fill up while git waits for its output to be read
        feed.write(stdin or b"")
        feed.seek(0)
        try:
            status, out, err = launcher.execute(
                command,
                istream=feed,
                with_extended_output=True,
                with_exceptions=False,
                stdout_as_string=False,
                strip_newline_in_stdout=False,
                env=env,
            )
        except GitCommandNotFound as error:
            raise RepositoryError(
                "git was not found", "install git 2.31 or newer, and see that it is on the PATH"
            ) from error
    return Answer(status, out or b"", err)


def _can_be_argument(text: str) -> bool:
    try:
        return b"\0" not in os.fsencode(text)
    except UnicodeEncodeError:
        return False


def as_path(raw: bytes) -> str:
    """A path as text; bytes that are no UTF-8 survive the way back to git."""
    return raw.decode("utf-8", "surrogateescape")


# The names that `git rev-parse --local-env-vars` prints: they tie git to one repository, in a hook maybe
# another one than the folder asked for. GIT_INDEX_FILE is among them; a hook hands it over as an argument.
_LOCAL = (
    "GIT_ALTERNATE_OBJECT_DIRECTORIES",
    "GIT_COMMON_DIR",
    "GIT_CONFIG",
    "GIT_CONFIG_COUNT",
    "GIT_CONFIG_PARAMETERS",
    "GIT_DIR",
    "GIT_GRAFT_FILE",
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
# These change what git prints, or clash with the fixed options below.
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
GLOBAL_OPTIONS = ("--no-pager", "--literal-pathspecs", "--no-replace-objects", "--no-optional-locks")


def clean_environment() -> None:
    """Drop the variables that would turn git away from the repository asked for or change its output."""
    for name in _LOCAL + _TWISTING:
        os.environ.pop(name, None)
