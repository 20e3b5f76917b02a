"""A real git repository in a temporary folder, with fixed people and dates and no settings of the machine."""

import os
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from pathlib import Path

PEOPLE = {
    "ada": ("Ada Quay", "ada@quay.example"),
    "ben": ("Ben Slip", "ben@quay.example"),
    "cem": ("Cem Keel", "cem@quay.example"),
}
FIRST_SECOND = 1767225600  # 2026-01-01T00:00:00Z, a Thursday
STEP = 3600


def neutral_environment(home: Path) -> dict[str, str]:
    """The environment of this process without git's variables and without anyone's configuration."""
    empty = home / "no-gitconfig"
    empty.parent.mkdir(parents=True, exist_ok=True)
    empty.touch()
    kept = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    return kept | {
        "HOME": str(home),
        "XDG_CONFIG_HOME": str(home / "config"),
        "GIT_CONFIG_GLOBAL": str(empty),
        "GIT_CONFIG_SYSTEM": str(empty),
        "GIT_CONFIG_NOSYSTEM": "1",
        "GIT_TERMINAL_PROMPT": "0",
        "GIT_CEILING_DIRECTORIES": str(home.parent),
        "TZ": "UTC",
    }


def person(who: str) -> dict[str, str]:
    """The variables that make git take someone for author and committer."""
    name, mail = PEOPLE[who]
    return {
        "GIT_AUTHOR_NAME": name,
        "GIT_AUTHOR_EMAIL": mail,
        "GIT_COMMITTER_NAME": name,
        "GIT_COMMITTER_EMAIL": mail,
    }


@contextmanager
def environment(values: Mapping[str, str]) -> Iterator[None]:
    """This process's environment replaced for a while, for code under test that starts git itself."""
    before = dict(os.environ)
    os.environ.clear()
    os.environ.update(values)
    try:
        yield
    finally:
        os.environ.clear()
        os.environ.update(before)


@dataclass
class GitRepo:
    """A repository to play a story in; every commit is an hour after the one before."""

    root: Path
    home: Path
    clock: int = field(default=FIRST_SECOND)

    @classmethod
    def create(cls, folder: Path, *options: str, name: str = "yard") -> "GitRepo":
        """A new repository on branch main below a temporary folder."""
        repo = cls(folder / name, folder / "home")
        repo.root.mkdir(parents=True)
        repo.git("init", "--quiet", "--template=", "--initial-branch=main", *options)
        return repo

    def env(self, who: str = "ada") -> dict[str, str]:
        """The environment in which someone works here, at the time the story has reached."""
        date = f"@{self.clock} +0000"
        dates = {"GIT_AUTHOR_DATE": date, "GIT_COMMITTER_DATE": date}
        return neutral_environment(self.home) | person(who) | dates

    @property
    def today(self) -> str:
        """The day the story has reached."""
        return datetime.fromtimestamp(self.clock, UTC).date().isoformat()

    def reach(self, day: str) -> None:
        """Let the story go on to a day, unless it is past that already."""
        morning = datetime.combine(date.fromisoformat(day), time(6), UTC)
        self.clock = max(self.clock, int(morning.timestamp()))

    @contextmanager
    def acting(self, who: str = "ada") -> Iterator[None]:
        """Run code under test as someone, an hour later."""
        self.clock += STEP
        with environment(self.env(who)):
            yield

    def run(self, *args: str, who: str = "ada", stdin: bytes = b"") -> "subprocess.CompletedProcess[bytes]":
        """Run git here, whatever comes of it."""
        return subprocess.run(
            ["git", *args], cwd=self.root, env=self.env(who), input=stdin, capture_output=True, check=False
        )

    def git(self, *args: str, who: str = "ada", stdin: bytes = b"") -> str:
        """Run git here and return what it printed, without the last line end."""
        done = self.run(*args, who=who, stdin=stdin)
        assert done.returncode == 0, f"git {' '.join(args)}: {done.stderr.decode(errors='replace')}"
        return done.stdout.decode("utf-8", "surrogateescape").removesuffix("\n")

    def write(self, path: str, text: str | bytes) -> Path:
        """Write a file of the work tree."""
        file = self.root / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(text.encode() if isinstance(text, str) else text)
        return file

    def commit(
        self, message: str, *paths: str, who: str = "ada", files: Mapping[str, str] | None = None
    ) -> str:
        """Write the files, stage everything (or only the paths), commit and return the id, empty or not."""
        for path, text in (files or {}).items():
            self.write(path, text)
        self.clock += STEP
        self.git("add", "--all", "--", *(paths or (".",)), who=who)
        self.git(
            "commit",
            "--quiet",
            "--allow-empty",
            "--cleanup=verbatim",
            "-F",
            "-",
            who=who,
            stdin=message.encode(),
        )
        return self.head()

    def tag(self, name: str, commit: str = "HEAD", message: str = "first hull 001", who: str = "ada") -> str:
        """Put an annotated tag on a commit and return the tag's id."""
        self.clock += STEP
        self.git(
            "tag",
            "--annotate",
            "--cleanup=verbatim",
            "-F",
            "-",
            name,
            commit,
            who=who,
            stdin=message.encode(),
        )
        return self.git("rev-parse", f"refs/tags/{name}")

    def merge(self, branch: str, message: str = "merge", who: str = "ada") -> str:
        """Merge a branch with a merge commit and return its id."""
        self.clock += STEP
        self.git("merge", "--quiet", "--no-ff", "-m", message, branch, who=who)
        return self.head()

    def branch(self, name: str, start: str = "HEAD") -> None:
        """Start a branch and check it out."""
        self.git("checkout", "--quiet", "-b", name, start)

    def checkout(self, name: str) -> None:
        """Check out a branch or commit."""
        self.git("checkout", "--quiet", name)

    def head(self, revision: str = "HEAD") -> str:
        """The id of a revision."""
        return self.git("rev-parse", "--verify", "--quiet", f"{revision}^{{commit}}")

    def show(self, revision: str, path: str) -> bytes:
        """The content of a file at a revision."""
        done = self.run("cat-file", "blob", f"{revision}:{path}")
        assert done.returncode == 0, done.stderr.decode()
        return done.stdout

    def state(self, without: Sequence[str] = ()) -> dict[str, object]:
        """All the work in progress here, but for some paths: bytes, index entries, what git says of them."""
        files = {
            path.relative_to(self.root).as_posix(): path.read_bytes()
            for path in sorted(self.root.rglob("*"))
            if path.is_file() and ".git" not in path.relative_to(self.root).parts
        }
        entries = self.git("ls-files", "--stage", "-t", "-z").split("\0")
        status = ("--no-optional-locks", "status", "--porcelain=v1", "--untracked-files=all", "-z")
        return {
            "files": {path: content for path, content in files.items() if path not in without},
            "index": [entry for entry in entries if entry.partition("\t")[2] not in without],
            "status": [line for line in self.git(*status).split("\0") if line[3:] not in without],
            "head": self.run("symbolic-ref", "HEAD").stdout,
        }

    def clone(self, name: str, *options: str) -> "GitRepo":
        """A clone beside this repository."""
        copy = GitRepo(self.root.parent / name, self.home, self.clock)
        self.git("clone", "--quiet", *options, self.root.as_uri(), str(copy.root))
        return copy

    def worktree(self, name: str, *options: str) -> "GitRepo":
        """A linked work tree beside this repository."""
        linked = GitRepo(self.root.parent / name, self.home, self.clock)
        self.git("worktree", "add", "--quiet", str(linked.root), *options)
        return linked
