"""What git keeps, read in bulk: blobs, trees, and how two trees differ."""

import hashlib
import os
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from recipe_track.errors import RepositoryError
from recipe_track.history.process import NOT_HERE, as_path
from recipe_track.history.repository import Repository

RECIPE_ROOTS = ("recipe-track.toml", "materials", "prices.toml", "models", "hulls", "records")
RECIPE_EDITS = ("models", "materials", "prices.toml", "recipe-track.toml")
_BLOB = b"blob"
# How git marks the signatures that it makes, by their kinds: OpenPGP, ssh, X.509.
_SIGNATURE = re.compile(
    rb"^-----BEGIN (?:PGP SIGNATURE|PGP MESSAGE|SSH SIGNATURE|SIGNED MESSAGE)-----$", re.MULTILINE
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


def has_commit(repo: Repository, commit: str) -> bool:
    """Whether this clone has a commit: a shallow one, or one not fetched lately, may not."""
    return repo.run("cat-file", "-e", f"{commit}^{{commit}}").status == 0


def content_at(repo: Repository, ref: str, path: str) -> bytes | None:
    """The content of one file at a branch or HEAD; None where there is no such branch or file."""
    answer = repo.run("cat-file", "blob", f"{ref}:{path}")
    return answer.out if answer.status == 0 else None


def has_signature(repo: Repository, tag_id: str) -> bool:
    """Whether an annotated tag is signed, rightly or not: git's own words of it depend on its version."""
    return _SIGNATURE.search(repo.git("cat-file", "tag", tag_id)) is not None


def tree(repo: Repository, commit: str, roots: Sequence[str] = RECIPE_ROOTS) -> dict[str, str]:
    """Path and object id of every file under the roots at a commit or tree."""
    listed = _listed(repo, commit, roots)
    return {path: oid for path, (_mode, kind, oid) in listed.items() if kind == "blob"}  # no submodules


def tree_entries(repo: Repository, commit: str, paths: Sequence[str]) -> dict[str, Entry]:
    """What a commit or tree holds under some paths and below them."""
    return {path: Entry(mode, oid) for path, (mode, _kind, oid) in _listed(repo, commit, paths).items()}


def _listed(repo: Repository, commit: str, paths: Sequence[str]) -> dict[str, tuple[str, str, str]]:
    """Mode, kind and object id by path."""
    # --full-tree: paths count from the root, whatever folder the program was started in. -z: git writes
    # names that are not ASCII between quotes otherwise, in octal.
    out = repo.git("ls-tree", "-r", "-z", "--full-tree", commit, "--", *paths)
    rows = (row.split(b"\t", 1) for row in out.split(b"\0") if row)
    listed: dict[str, tuple[str, str, str]] = {}
    for meta, path in rows:
        mode, kind, oid = meta.decode().split(" ")
        listed[as_path(path)] = (mode, kind, oid)
    return listed


def digests(repo: Repository, commit: str, paths: Sequence[str]) -> dict[str, str]:
    """The SHA-256 of those of the files that a commit holds, by path."""
    files = tree(repo, commit, tuple(dict.fromkeys(paths))) if paths else {}
    contents = read_many(repo, files.values())
    return {path: hashlib.sha256(contents[oid]).hexdigest() for path, oid in files.items()}


def read_many(repo: Repository, oids: Iterable[str]) -> dict[str, bytes]:
    """The content of many blobs out of one `cat-file --batch`: a process for each would take seconds."""
    wanted = list(dict.fromkeys(oids))
    if not wanted:
        return {}
    # --buffer: git would flush after every object, for someone who waits for each answer.
    out = repo.git("cat-file", "--batch", "--buffer", stdin="".join(f"{oid}\n" for oid in wanted).encode())
    contents: dict[str, bytes] = {}
    at = 0
    # Answers come in the order of the questions: `<id> <kind> <size>`, a line end, that many bytes, a line
    # end. Only the size says where an answer stops; content may look like a header.
    for oid in wanted:
        end = out.index(b"\n", at)
        _name, *kind = out[at:end].split(b" ")
        if kind[:1] != [_BLOB]:
            raise RepositoryError(f"the content {oid} is missing from the repository", NOT_HERE[1])
        start = end + 1
        at = start + int(kind[1])
        contents[oid] = out[start:at]
        at += 1
    return contents


def read_files(repo: Repository, commit: str, *paths: str) -> dict[str, bytes]:
    """The content of those of the paths that a commit holds."""
    oids = {path: oid for path, oid in tree(repo, commit, paths).items() if path in paths}
    contents = read_many(repo, oids.values())
    return {path: contents[oid] for path, oid in oids.items()}


def hash_files(repo: Repository, root: Path, paths: Sequence[str], *, store: bool = False) -> dict[str, str]:
    """The object ids that `git add` would give files of a work tree; stored only if asked for."""
    if not paths:
        return {}
    names = b"".join(_quoted(path) + b"\n" for path in paths)
    # core.safecrlf=true would refuse line ends that the attributes change, where only the id is asked for.
    args = ("-c", "core.safecrlf=false", "hash-object", *(("-w",) if store else ()), "--stdin-paths")
    return dict(zip(paths, repo.git(*args, stdin=names, at=root).decode().split(), strict=True))


def _quoted(path: str) -> bytes:
    """A path as a line for `--stdin-paths`, which takes C-style quotes for odd names."""
    raw = os.fsencode(path)
    if not raw.startswith(b'"') and b"\n" not in raw:
        return raw
    return b'"' + b"".join(b"\\%03o" % byte for byte in raw) + b'"'


def differing(repo: Repository, old: str | None, new: str) -> tuple[Edit, ...]:
    """The paths in which two trees or commits differ; None stands for an empty tree."""
    before = old or empty_tree(repo)
    # Renames are two edits here: a work tree follows path by path.
    out = repo.git("diff-tree", "-r", "-z", "--no-renames", "--no-abbrev", "--no-ext-diff", before, new, "--")
    tokens = out.split(b"\0")
    pairs = zip(tokens[::2], tokens[1::2], strict=False)  # behind the last NUL one empty token is left
    return tuple(_edit(meta.decode(), as_path(path)) for meta, path in pairs)


def empty_tree(repo: Repository) -> str:
    """The id of a tree without anything, which differs between SHA-1 and SHA-256; every git knows it."""
    return repo.git("hash-object", "-t", "tree", "--stdin").decode().strip()


def _edit(meta: str, path: str) -> Edit:
    old_mode, mode, old_oid, oid, _status = meta[1:].split(" ")
    old = None if set(old_oid) == {"0"} else Entry(old_mode, old_oid)
    return Edit(path, old, None if set(oid) == {"0"} else Entry(mode, oid))
