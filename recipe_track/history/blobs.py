"""The bytes that git keeps: which files a commit, the index or a tree holds, and their content in bulk."""

from collections.abc import Iterable, Sequence

from recipe_track.errors import Refused, RepositoryError
from recipe_track.history.repository import Repository

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


def as_path(raw: bytes) -> str:
    """A path as text; bytes that are no UTF-8 survive the way back to git."""
    return raw.decode("utf-8", "surrogateescape")
