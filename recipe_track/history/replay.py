"""A history planned as plain values becomes a git repository, with the same object ids on every machine."""

import hashlib
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from recipe_track.errors import CallError, RepositoryError
from recipe_track.history.repository import create_repository, open_repository

# Neither line ends nor filters of the person's or the machine's configuration reach the files checked out.
NEUTRAL = {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
    "GIT_CONFIG_NOSYSTEM": "1",
    "GIT_ATTR_NOSYSTEM": "1",
    "XDG_CONFIG_HOME": os.devnull,
}
MAIN = "main"


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who did something and when; the date knows its offset from UTC."""

    who: str
    when: datetime

    def __str__(self) -> str:
        return f"{self.who} {int(self.when.timestamp())} {self.when:%z}"


@dataclass(frozen=True, slots=True)
class PlannedCommit:
    """One commit with its whole tree; parents are ids of commits planned before it."""

    parents: tuple[str, ...]
    author: Stamp
    committer: Stamp
    message: str
    files: Mapping[str, bytes]


@dataclass(frozen=True, slots=True)
class PlannedTag:
    """An annotated tag."""

    name: str
    commit: str
    tagger: Stamp
    message: str


@dataclass(frozen=True, slots=True)
class PlannedHistory:
    """Commits by id, parents before children; branches by name; the branch `main` is checked out."""

    commits: Mapping[str, PlannedCommit]
    branches: Mapping[str, str]
    tags: tuple[PlannedTag, ...]


def commit_id(commit: PlannedCommit) -> str:
    """The id that git gives this commit in a SHA-1 repository."""
    lines = [f"tree {_tree_id(commit.files)}", *(f"parent {parent}" for parent in commit.parents)]
    lines += [f"author {commit.author}", f"committer {commit.committer}", "", commit.message]
    return _object_id(b"commit", "\n".join(lines).encode())


def write_history(history: PlannedHistory, target: Path) -> None:
    """Write the history into a new repository at `target` and check out its main branch.

    The target must be missing or empty, so that nothing of anyone's is ever overwritten.
    """
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise CallError(f"{target} exists and is not an empty folder", "name a folder that is not there yet")
    create_repository(target, MAIN, plain=True)
    stream = b"".join(_stream(history))
    # One stream for `fast-import`: a process for each commit would take minutes. --done: a stream
    # that was cut is an error, not a shorter history.
    with open_repository(target) as repo:
        repo.git("fast-import", "--quiet", "--done", "--date-format=raw", stdin=stream, env=NEUTRAL)
        repo.git("reset", "--quiet", "--hard", env=NEUTRAL)
        made = repo.git("rev-parse", "--verify", "HEAD").decode().strip()
    if made != history.branches[MAIN]:
        raise RepositoryError(f"git made commit {made} where {history.branches[MAIN]} was planned")


def _object_id(kind: bytes, body: bytes) -> str:
    return hashlib.sha1(b"%s %d\0%s" % (kind, len(body), body), usedforsecurity=False).hexdigest()


def _tree_id(files: Mapping[str, bytes]) -> str:
    """The id of the tree of these files; git sorts a folder as if its name ended in a slash."""
    folders: dict[str, dict[str, bytes]] = {}
    entries: list[tuple[bytes, bytes, str]] = []
    for path, data in files.items():
        name, _, rest = path.partition("/")
        if rest:
            folders.setdefault(name, {})[rest] = data
        else:
            entries.append((name.encode(), b"100644 " + name.encode(), _object_id(b"blob", data)))
    for name, inside in folders.items():
        entries.append((name.encode() + b"/", b"40000 " + name.encode(), _tree_id(inside)))
    return _object_id(b"tree", b"".join(b"%s\0%s" % (e, bytes.fromhex(i)) for _, e, i in sorted(entries)))


def _stream(history: PlannedHistory) -> Iterator[bytes]:
    """One fast-import stream: every distinct file once, then the commits, the refs and the tags."""
    marks: dict[str, int] = {}
    blobs: dict[bytes, int] = {}
    for commit in history.commits.values():
        for data in commit.files.values():
            if data not in blobs:
                blobs[data] = len(blobs) + 1
                yield b"blob\nmark :%d\n%s" % (blobs[data], _data(data))
    for name, commit in history.commits.items():
        marks[name] = len(blobs) + len(marks) + 1
        yield _commit(commit, marks[name], marks, blobs)
    for branch, tip in history.branches.items():
        yield b"reset refs/heads/%s\nfrom :%d\n\n" % (branch.encode(), marks[tip])
    for tag in history.tags:
        yield b"tag %s\nfrom :%d\ntagger %s\n" % (
            tag.name.encode(),
            marks[tag.commit],
            str(tag.tagger).encode(),
        )
        yield _data(tag.message.encode())
    yield b"done\n"


def _commit(commit: PlannedCommit, mark: int, marks: Mapping[str, int], blobs: Mapping[bytes, int]) -> bytes:
    """A commit written to main for the time being; `from` names the parent, whatever main was."""
    lines = [b"commit refs/heads/main\nmark :%d\n" % mark]
    lines.append(f"author {commit.author}\ncommitter {commit.committer}\n".encode())
    lines.append(_data(commit.message.encode()))
    for word, parent in zip((b"from", b"merge"), commit.parents, strict=False):
        lines.append(b"%s :%d\n" % (word, marks[parent]))
    lines.append(b"deleteall\n")
    lines += [b"M 100644 :%d %s\n" % (blobs[data], path.encode()) for path, data in commit.files.items()]
    return b"".join(lines) + b"\n"


def _data(content: bytes) -> bytes:
    return b"data %d\n%s\n" % (len(content), content)
