"""Blobs, trees and commits made without any work tree or anyone's index; nothing refers to them yet."""

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from recipe_track.errors import CallError, Refused
from recipe_track.history.neutral import own_programs
from recipe_track.history.objects import Entry
from recipe_track.history.people import TOLD_ONLY, Person, identity
from recipe_track.history.process import failure
from recipe_track.history.repository import Repository

PLAIN_FILE = "100644"
# The index made here is thrown away at once: nothing of it may be shared with the person's own, watched by a
# daemon, or left out of it because a sparse checkout does not want it.
_OWN_INDEX = (
    *("-c", "core.splitIndex=false", "-c", "core.untrackedCache=false"),
    *("-c", "index.sparse=false"),
)


def check_path(path: str) -> str:
    """A path that may become a file of a recipe repository; anything that could lead elsewhere is refused."""
    parts = path.split("/")
    if any(part in ("", ".", "..") or part.lower() == ".git" for part in parts) or not path.isprintable():
        raise CallError(f"`{path!r}` cannot be a file of a recipe repository")
    if "\\" in path or ":" in path:
        raise CallError(f"`{path}` cannot be a file on every system: it holds a backslash or a colon")
    return path


def write_blobs(repo: Repository, files: Mapping[str, bytes]) -> dict[str, str]:
    """Store contents as `git add` would under these paths; object id by path."""
    # With --path the attributes of the path hold (line ends, clean filters): the next `git add` of the same
    # bytes gives the same id, and no difference is left behind.
    command = ("-c", "core.safecrlf=false", "hash-object", "-w", "--stdin")
    return {
        path: repo.git(*command, f"--path={check_path(path)}", stdin=content).decode().strip()
        for path, content in files.items()
    }


def record_entries(repo: Repository, files: Mapping[str, bytes]) -> dict[str, Entry | None]:
    """Store contents and return the tree entries for them."""
    return {path: Entry(PLAIN_FILE, oid) for path, oid in write_blobs(repo, files).items()}


def write_tree(repo: Repository, base: str | None, entries: Mapping[str, Entry | None]) -> str:
    """The tree that another one becomes with some paths set or taken out."""
    # Git makes trees out of an index only; one of its own keeps the person's as it is, staged work included.
    with tempfile.TemporaryDirectory(prefix="recipe-track-") as folder:
        env = {"GIT_INDEX_FILE": str(Path(folder) / "index")}
        if base is not None:
            repo.git(*_OWN_INDEX, "read-tree", base, env=env)
        repo.git(*_OWN_INDEX, "update-index", "-z", "--index-info", stdin=index_info(repo, entries), env=env)
        return repo.git(*_OWN_INDEX, "write-tree", env=env).decode().strip()


def index_info(repo: Repository, entries: Mapping[str, Entry | None]) -> bytes:
    """What `git update-index -z --index-info` reads to set or drop entries."""
    gone = Entry("0", "0" * (64 if repo.object_format == "sha256" else 40))
    rows = ((entry or gone, path.encode("utf-8", "surrogateescape")) for path, entry in entries.items())
    return b"".join(f"{entry.mode} {entry.oid}\t".encode() + path + b"\0" for entry, path in rows)


def write_commit(
    repo: Repository, tree: str, parents: Sequence[str], message: str, *, sign: bool | None = None,
    author: Person | None = None,
) -> str:  # fmt: skip
    """A commit on no branch yet; signed if asked for, or, with None, if git's configuration says so.

    `commit-tree` runs no hooks and looks at no configuration of signing: what it is to do is said here. The
    author is whoever is at work, unless what is committed was brought by someone else.
    """
    signed = sign if sign is not None else signs_by_default(repo, "commit.gpgSign")
    args = (
        # Messages are UTF-8 whatever the configuration says of the encoding of commits.
        *(own_programs(repo) if signed else ()),
        *(*TOLD_ONLY, "-c", "i18n.commitEncoding=UTF-8", "commit-tree"),
        *(("-S",) if signed else ()),
        *(word for parent in parents for word in ("-p", parent)),
        tree,
    )
    answer = repo.run(*args, stdin=message_bytes(message), env=_people(repo, author))
    if answer.status != 0 and signed:
        raise unsigned(answer.err)
    if answer.status != 0:
        raise failure(answer, args)
    return answer.out.decode().strip()


def _people(repo: Repository, author: Person | None) -> dict[str, str] | None:
    """Who brought what is committed as its author, and whoever is at work as its committer."""
    if author is None:
        return None
    me = identity(repo)  # git's own committer may be another: a record is proven by who it names
    return {
        "GIT_AUTHOR_NAME": author.name, "GIT_AUTHOR_EMAIL": author.mail,
        "GIT_COMMITTER_NAME": me.name, "GIT_COMMITTER_EMAIL": me.mail,
    }  # fmt: skip


def message_bytes(message: str) -> bytes:
    """A message as git takes it; without a line end at its end, a tag's signature would run into the text."""
    return message.replace("\0", "").rstrip("\n").encode("utf-8", "replace") + b"\n"


def signs_by_default(repo: Repository, key: str) -> bool:
    """Whether git's configuration asks for a signature where nobody says so."""
    return repo.git("config", "--type=bool", "--get", key, ok=(0, 1)).strip() == b"true"


def unsigned(said: str) -> Refused:
    """The refusal where a signature was wanted and git failed; why, only its words tell."""
    return Refused(f"it could not be signed: {said.strip()}", "see user.signingKey in `git help config`")
