"""Open a repository of any shape and run git in it."""

import os
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from recipe_track.errors import CallError, RepositoryError
from recipe_track.history.process import (
    Answer,
    can_be_argument,
    clean_environment,
    failure,
    git_module,
    run_git,
)

if TYPE_CHECKING:
    import git


OLDEST_GIT = (2, 31)
_LONGEST_REVISION = 1000
_OBJECT_ID = re.compile(rb"[0-9a-f]{40}(?:[0-9a-f]{24})?\n?\Z")


@dataclass(eq=False)
class Repository:
    """One open repository; a thread opens its own. `root` is None where there is no work tree.

    `notes` are lines for the person at work: what was done, but not quite as it was meant. `aside` is where
    objects go that are thrown away (objects_aside), as variables of git's environment.
    """

    root: Path | None
    git_dir: Path
    common_dir: Path
    bare: bool
    shallow: bool
    object_format: str
    index_file: str | None
    launcher: "git.Git" = field(repr=False)
    notes: list[str] = field(default_factory=list, repr=False)
    aside: dict[str, str] | None = field(default=None, repr=False)

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
        more = {**(self.aside or {}), **(env or {})}
        return run_git(self.launcher, at or self.place, args, stdin, more)

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
    module = git_module()
    try:
        folder = Path(path).absolute()
    except FileNotFoundError as gone:
        raise RepositoryError("the folder that you stand in is gone", "go to one that is there") from gone
    if not folder.is_dir():
        raise RepositoryError(f"there is no folder {folder}")
    try:
        # Without expand_vars=False a folder named `$HOME` would be another one.
        repo = module.Repo(folder, search_parent_directories=True, expand_vars=False)
    except (module.InvalidGitRepositoryError, module.NoSuchPathError) as error:
        raise _none_there(folder) from error
    try:
        yield _look_around(repo.git, Path(repo.working_dir), index_file)
    finally:  # the processes that GitPython may keep waiting end with it
        repo.close()


def _none_there(folder: Path) -> RepositoryError:
    from recipe_track.history.damage import damaged_above  # only where it is needed: it asks repositories

    return damaged_above(folder) or RepositoryError(
        f"no git repository in {folder} or above it",
        "start one with `recipe-track new DIR`, or name one with -C",
    )


def run_anywhere(folder: Path, *args: str) -> Answer:
    """Run a command of git that needs no repository, with a fixed list of arguments, whatever it answers."""
    clean_environment()
    return run_git(git_module().Git(os.fspath(folder)), folder, args)


def create_repository(path: Path | str, main_branch: str, *, plain: bool = False) -> None:
    """Start a repository with an empty main branch; a plain one takes no templates of the machine."""
    clean_environment()
    launcher = git_module().Git(os.fspath(path))
    options = ("--object-format=sha1", "--template=") if plain else ()
    args = ("init", "--quiet", *options, f"--initial-branch={main_branch}")
    Path(path).mkdir(parents=True, exist_ok=True)
    answer = run_git(launcher, Path(path).absolute(), args)
    if answer.status != 0:
        raise failure(answer, args)


def resolve(repo: Repository, text: str) -> str:
    """The commit that a revision typed by a person stands for."""
    unknown = CallError(
        f"there is no revision `{text}`", "any git revision, a label such as `r7` or `r7+2`, or `working`"
    )
    if not text or len(text) > _LONGEST_REVISION or "\n" in text or not can_be_argument(text):
        raise unknown
    # What a person types is never an option, and from here on only the id goes to git.
    verify = ("rev-parse", "--verify", "--quiet", "--end-of-options")
    if text.startswith(":/"):  # all that follows is looked for in messages, a `^{commit}` too
        text = repo.run(*verify, text).out.decode().strip()
    out = repo.run(*verify, f"{text}^{{commit}}").out
    if not _OBJECT_ID.match(out):  # `^main` resolves too, to a line that is no id
        raise unknown
    return out.decode().strip()


def _look_around(launcher: "git.Git", folder: Path, index_file: str | None) -> Repository:
    asked = (
        "--is-bare-repository",
        "--is-shallow-repository",
        "--show-object-format",
        "--git-dir",
        "--git-common-dir",
    )
    args = ("rev-parse", "--path-format=absolute", *asked, "--show-toplevel")
    answer = run_git(launcher, folder, args)
    lines = _lines(answer)
    if lines[:1] == ["--path-format=absolute"]:  # git before 2.31 repeats what it does not know
        raise _too_old(_git_version(launcher))
    bare = lines[:1] == ["true"]
    if len(lines) > 6 - bare:  # the name of a folder holds a line end
        options = (*asked, *(() if bare else ("--show-toplevel",)))
        alone = (run_git(launcher, folder, (*args[:2], option)) for option in options)
        lines = ["\n".join(_lines(one)) for one in alone]
    # In a bare repository --show-toplevel fails, after everything else has been answered.
    if len(lines) != (5 if bare else 6) or answer.status not in ((0, 128) if bare else (0,)):
        raise failure(answer, args)
    root = None if bare else Path(lines[5])
    git_dir, common_dir = Path(lines[3]), Path(lines[4])
    return Repository(root, git_dir, common_dir, bare, lines[1] == "true", lines[2], index_file, launcher)


def _lines(answer: Answer) -> list[str]:
    return os.fsdecode(answer.out).removesuffix("\n").split("\n")


def _git_version(launcher: "git.Git") -> tuple[int, ...]:
    answer = run_git(launcher, Path.cwd(), ("version",))
    return tuple(int(part) for part in re.findall(rb"\d+", answer.out)[:3])


def _too_old(version: tuple[int, ...]) -> RepositoryError:
    own, needed = (".".join(map(str, numbers)) for numbers in (version, OLDEST_GIT))
    return RepositoryError(f"git {own} is too old; {needed} or newer is needed", "install a newer git")
