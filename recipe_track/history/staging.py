"""The commit that a person is making with git itself, as a hook finds it: its files and its message.

Git hands a hook an index of its own (GIT_INDEX_FILE), not always that of the work tree: with
`git commit --only` it holds what the commit will hold, and so does it here.
"""

from collections.abc import Iterator, Mapping, Sequence

from recipe_track.errors import Refused
from recipe_track.history.log import parse_trailers
from recipe_track.history.objects import RECIPE_EDITS, RECIPE_ROOTS, empty_tree, tree_entries
from recipe_track.history.process import as_path
from recipe_track.history.refs import head_commit
from recipe_track.history.repository import Repository

# Below this line `git commit --verbose` shows the differences; git cuts them off before it commits.
_SCISSORS = b" ------------------------ >8 ------------------------\n"


def index_tree(repo: Repository, roots: Sequence[str] = RECIPE_ROOTS) -> dict[str, str]:
    """Path and object id of every staged file under the roots: what the next commit will hold.

    A file that was only announced (`git add -N`) is in the index and will not be committed.
    """
    out = repo.git("ls-files", "-s", "-z", "--", *roots, env=_index(repo))
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
    announced = _announced(repo, staged)
    return {path: oid for path, oid in staged.items() if path not in announced}


def _announced(repo: Repository, staged: Mapping[str, str]) -> set[str]:
    """Those of the empty files that no commit will hold: against HEAD they are not there, or are gone.

    To hold the index against the files, as git itself could, would start the filters of the repository.
    """
    none = _empty_blob(repo)
    empty = [path for path, oid in staged.items() if oid == none]
    if not empty:
        return set()
    letters = {path: letter for letter, path in _against_head(repo, empty)}
    on_head = tree_entries(repo, "HEAD", empty) if head_commit(repo) else {}
    return {
        path for path in empty if letters.get(path) == "D" or (path not in on_head and path not in letters)
    }


def _empty_blob(repo: Repository) -> str:
    return repo.git("hash-object", "--stdin").decode().strip()


def staged_edits(repo: Repository) -> tuple[tuple[str, str], ...]:
    """Status letter and path of every recipe file that the commit changes."""
    return tuple(_against_head(repo, RECIPE_EDITS))


def _against_head(repo: Repository, paths: Sequence[str]) -> Iterator[tuple[str, str]]:
    before = "HEAD" if head_commit(repo) else empty_tree(repo)
    options = ("--cached", "--ita-invisible-in-index", "--no-renames", "--no-ext-diff", "--name-status", "-z")
    args = ("diff-index", *options, before, "--", *paths)
    tokens = repo.git(*args, env=_index(repo)).split(b"\0")[:-1]
    pairs = zip(tokens[::2], tokens[1::2], strict=True)
    return ((letter.decode(), as_path(path)) for letter, path in pairs)


def _index(repo: Repository) -> dict[str, str] | None:
    return {"GIT_INDEX_FILE": repo.index_file} if repo.index_file else None


def is_merging(repo: Repository) -> bool:
    """Whether the commit closes a merge."""
    return (repo.git_dir / "MERGE_HEAD").exists()


def message_trailers(repo: Repository, message: bytes) -> dict[str, str]:
    """Trailers of a message as it comes out of an editor, by key in lower case."""
    kept = message.split(_SCISSORS, 1)[0]
    # Git itself strips the comments: core.commentChar says what one begins with.
    text = repo.git("stripspace", "--strip-comments", stdin=kept).decode("utf-8", "replace")
    return {key.lower(): value for key, value in parse_trailers(text)}
