"""What git keeps: blobs, trees and commits, read in bulk or made without any work tree or anyone's index."""

import os
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from recipe_track.errors import CallError, Refused, RepositoryError
from recipe_track.history.people import TOLD_ONLY
from recipe_track.history.repository import Repository, as_path, failure

RECIPE_ROOTS = ("recipe-track.toml", "materials", "prices.toml", "models", "hulls", "records")
RECIPE_EDITS = ("models", "materials", "prices.toml")
_BLOB = b"blob"


def tree(repo: Repository, commit: str, roots: Sequence[str] = RECIPE_ROOTS) -> dict[str, str]:
    """Path and object id of every file under the roots at a commit or tree."""
    out = repo.git("ls-tree", "-r", "-z", "--full-tree", commit, "--", *roots)
    entries = (entry.split(b"\t", 1) for entry in out.split(b"\0") if entry)
    found = ((meta.split(b" "), path) for meta, path in entries)
    return {as_path(path): oid.decode() for (_mode, kind, oid), path in found if kind == _BLOB}


def index_tree(repo: Repository, roots: Sequence[str] = RECIPE_ROOTS) -> dict[str, str]:
    """Path and object id of every staged file under the roots: what the next commit will hold, for a hook.

    A file that was only announced (`git add -N`) is in the index and will not be committed.
    """
    env = {"GIT_INDEX_FILE": repo.index_file} if repo.index_file else None
    out = repo.git("ls-files", "-s", "-z", "--", *roots, env=env)
    staged: dict[str, str] = {}
    conflicts: list[str] = []
    for entry in filter(None, out.split(b"\0")):
        meta, path = entry.split(b"\t", 1)
        _mode, oid, stage = meta.decode().split(" ")
        if stage != "0":
            conflicts.append(as_path(path))
        staged[as_path(path)] = oid
    if conflicts:
        paths = tuple(dict.fromkeys(conflicts))
        raise Refused(
            "a merge left conflicts that are not resolved", "resolve them and `git add` the files", paths
        )
    announced = _paths(repo.git("diff-files", "--name-only", "--diff-filter=A", "-z", "--", *roots, env=env))
    return {path: oid for path, oid in staged.items() if path not in announced}


def _paths(listed: bytes) -> set[str]:
    return {as_path(path) for path in listed.split(b"\0") if path}


def read_many(repo: Repository, oids: Iterable[str]) -> dict[str, bytes]:
    """The content of many blobs out of one `cat-file --batch`."""
    wanted = list(dict.fromkeys(oids))
    if not wanted:
        return {}
    out = repo.git("cat-file", "--batch", "--buffer", stdin="".join(f"{oid}\n" for oid in wanted).encode())
    found: dict[str, bytes] = {}
    at = 0
    for oid in wanted:
        end = out.index(b"\n", at)
        _name, *kind = out[at:end].split(b" ")
        if kind[:1] != [_BLOB]:
            raise RepositoryError(
                f"the content {oid} is missing from the repository",
                "a clone without all blobs: `git fetch --refetch`; a damaged one: `git fsck`",
            )
        start = end + 1
        at = start + int(kind[1])
        found[oid] = out[start:at]
        at += 1
    return found


PLAIN_FILE = "100644"
_OWN_INDEX = (
    *("-c", "core.splitIndex=false", "-c", "core.fsmonitor=false", "-c", "core.untrackedCache=false"),
    *("-c", "index.sparse=false"),
)


@dataclass(frozen=True, slots=True)
class Entry:
    """What a tree holds under a path."""

    mode: str
    oid: str


@dataclass(frozen=True, slots=True)
class Edit:
    """How one path differs between two trees; None where it is absent."""

    path: str
    old: Entry | None
    new: Entry | None


def tree_entries(repo: Repository, commit: str, paths: Sequence[str]) -> dict[str, Entry]:
    """What a commit or tree holds under some paths and below them."""
    found: dict[str, Entry] = {}
    for line in filter(
        None, repo.git("ls-tree", "-r", "-z", "--full-tree", commit, "--", *paths).split(b"\0")
    ):
        meta, path = line.split(b"\t", 1)
        mode, _kind, oid = meta.decode().split(" ")
        found[as_path(path)] = Entry(mode, oid)
    return found


def hash_files(repo: Repository, root: Path, paths: Sequence[str], *, store: bool = False) -> dict[str, str]:
    """The object ids that `git add` would give files of a work tree; stored only if asked for."""
    if not paths:
        return {}
    names = b"".join(_quoted(path) + b"\n" for path in paths)
    args = ("-c", "core.safecrlf=false", "hash-object", *(("-w",) if store else ()), "--stdin-paths")
    return dict(zip(paths, repo.git(*args, stdin=names, at=root).decode().split(), strict=True))


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
    command = ("-c", "core.safecrlf=false", "hash-object", "-w", "--stdin")
    return {
        path: repo.git(*command, f"--path={check_path(path)}", stdin=content).decode().strip()
        for path, content in files.items()
    }


def write_tree(repo: Repository, base: str | None, entries: Mapping[str, Entry | None]) -> str:
    """The tree that another one becomes with some paths set or taken out."""
    with tempfile.TemporaryDirectory(prefix="recipe-track-") as folder:
        env = {"GIT_INDEX_FILE": str(Path(folder) / "index")}
        if base is not None:
            repo.git(*_OWN_INDEX, "read-tree", base, env=env)
        repo.git(*_OWN_INDEX, "update-index", "-z", "--index-info", stdin=index_info(repo, entries), env=env)
        return repo.git(*_OWN_INDEX, "write-tree", env=env).decode().strip()


def record_entries(repo: Repository, files: Mapping[str, bytes]) -> dict[str, Entry | None]:
    """Store contents and return the tree entries for them."""
    return {path: Entry(PLAIN_FILE, oid) for path, oid in write_blobs(repo, files).items()}


def index_info(repo: Repository, entries: Mapping[str, Entry | None]) -> bytes:
    """What `git update-index -z --index-info` reads to set or drop entries."""
    gone = Entry("0", "0" * (64 if repo.object_format == "sha256" else 40))
    rows = ((entry or gone, path.encode("utf-8", "surrogateescape")) for path, entry in entries.items())
    return b"".join(f"{entry.mode} {entry.oid}\t".encode() + path + b"\0" for entry, path in rows)


def write_commit(
    repo: Repository, tree: str, parents: Sequence[str], message: str, *, sign: bool | None = None
) -> str:
    """A commit on no branch yet; signed if asked for, or, with None, if git's configuration says so."""
    signed = sign if sign is not None else _signs_by_default(repo)
    args = (
        *(*TOLD_ONLY, "-c", "i18n.commitEncoding=UTF-8", "commit-tree"),
        *(("-S",) if signed else ()),
        *(word for parent in parents for word in ("-p", parent)),
        tree,
    )
    answer = repo.run(*args, stdin=message_bytes(message))
    if answer.status != 0 and signed:
        raise unsigned(answer.err)
    if answer.status != 0:
        raise failure(answer, args)
    return answer.out.decode().strip()


def message_bytes(message: str) -> bytes:
    """A message as git takes it; without a line end at its end, a tag's signature would run into the text."""
    return message.replace("\0", "").rstrip("\n").encode("utf-8", "replace") + b"\n"


def unsigned(said: str) -> Refused:
    """The refusal where git could not sign."""
    return Refused(f"it could not be signed: {said.strip()}", "see user.signingKey in `git help config`")


def differing(repo: Repository, old: str | None, new: str) -> tuple[Edit, ...]:
    """The paths in which two trees or commits differ; None stands for an empty tree."""
    before = old or repo.git("hash-object", "-t", "tree", "--stdin").decode().strip()
    out = repo.git("diff-tree", "-r", "-z", "--no-renames", "--no-abbrev", "--no-ext-diff", before, new, "--")
    tokens = out.split(b"\0")
    return tuple(
        _edit(meta.decode(), as_path(path)) for meta, path in zip(tokens[::2], tokens[1::2], strict=False)
    )


def _quoted(path: str) -> bytes:
    """A path as a line for `--stdin-paths`, which takes C-style quotes for odd names."""
    raw = os.fsencode(path)
    if not raw.startswith(b'"') and b"\n" not in raw:
        return raw
    return b'"' + b"".join(b"\\%03o" % byte for byte in raw) + b'"'


def _edit(meta: str, path: str) -> Edit:
    old_mode, mode, old_oid, oid, _status = meta[1:].split(" ")
    old = None if set(old_oid) == {"0"} else Entry(old_mode, old_oid)
    return Edit(path, old, None if set(oid) == {"0"} else Entry(mode, oid))


def _signs_by_default(repo: Repository) -> bool:
    return repo.git("config", "--type=bool", "--get", "commit.gpgSign", ok=(0, 1)).strip() == b"true"
