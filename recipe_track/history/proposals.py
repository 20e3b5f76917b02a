"""Proposals: the recipe edits of a work tree, put on a branch of their own without touching anything else."""

import os
import stat
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from recipe_track.errors import CallError, Refused, RepositoryError
from recipe_track.history.commit_to_main import move_ref
from recipe_track.history.making import PLAIN_FILE, record_entries, write_commit, write_tree
from recipe_track.history.objects import RECIPE_EDITS, Entry, differing, hash_files, read_many, tree_entries
from recipe_track.history.people import identity
from recipe_track.history.process import as_path
from recipe_track.history.refs import ChangeBranch, head_commit, is_change_id, merge_base, read_refs
from recipe_track.history.repository import Repository


@dataclass(frozen=True, slots=True)
class WorkChange:
    """A recipe file of the work tree that differs from main; `data` is what git would store, None if deleted.

    `behind` says that main has gone on with this file since the work tree's branch left it.
    """

    status: Literal["added", "modified", "deleted"]
    path: str
    data: bytes | None
    entry: Entry | None
    behind: bool
    before: str = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A branch that holds a proposed change: main's tip and one commit."""

    id: str
    branch: str
    commit: str
    paths: tuple[str, ...]


def strangers(repo: Repository, main_branch: str) -> tuple[tuple[str, int], ...]:
    """Files among the recipe's that are none of it, and not as on main, a scan say; with their sizes."""
    root, on_main = _root(repo), _plain_on(repo, _main(repo, main_branch))
    odd = [path for path in _present(repo, root, on_main) if not _is_recipe(path)]
    kept = hash_files(repo, root, [path for path in odd if path in on_main])
    left = [path for path in odd if path not in kept or kept[path] != on_main[path].oid]
    return tuple((path, (root / path).stat().st_size) for path in left)


def _is_recipe(path: str) -> bool:
    return path.endswith(".toml")


def _plain_on(repo: Repository, commit: str) -> dict[str, Entry]:
    """The plain files of a commit: a link or a submodule among them is none of the recipe's."""
    entries = tree_entries(repo, commit, RECIPE_EDITS)
    return {path: entry for path, entry in entries.items() if entry.mode.startswith("100")}


def work_changes(repo: Repository, main_branch: str) -> tuple[WorkChange, ...]:
    """The recipe files whose work-tree content differs from main, by path.

    Staged or not makes no difference; untracked files count, ignored ones do not.
    """
    main = _main(repo, main_branch)
    root = _root(repo)
    on_main = {path: entry for path, entry in _plain_on(repo, main).items() if _is_recipe(path)}
    paths = [path for path in _present(repo, root, on_main) if _is_recipe(path)]
    hashes = hash_files(repo, root, paths)
    changed = [path for path in paths if path not in on_main or on_main[path].oid != hashes[path]]
    # Read back out of git, not out of the files: what is checked is what clean filters and line ends made of
    # them, and nothing that an editor saves in between gets in.
    stored = hash_files(repo, root, changed, store=True)
    contents = read_many(repo, stored.values())
    behind = _behind(repo, main, on_main)
    present = [
        WorkChange(
            status="modified" if path in on_main else "added",
            path=path,
            data=contents[oid],
            entry=Entry(on_main[path].mode if path in on_main else PLAIN_FILE, oid),
            behind=path in behind,
            before=on_main[path].oid if path in on_main else "",
        )
        for path, oid in stored.items()
    ]
    gone = [
        WorkChange("deleted", path, None, None, path in behind, on_main[path].oid)
        for path in on_main
        if path not in set(paths)
    ]
    return tuple(sorted(present + gone, key=lambda change: change.path))


def already_proposed(
    repo: Repository, main_branch: str, changes: Iterable[WorkChange], open_branches: Sequence[ChangeBranch]
) -> dict[str, str]:
    """The paths that an open proposal holds just like the work tree, and which one does."""
    main = _main(repo, main_branch)
    proposed: dict[tuple[str, str | None], str] = {}
    # Against its fork, not against main: what main did since is not part of the proposal.
    for branch in open_branches:
        for edit in differing(repo, merge_base(repo, main, branch.commit), branch.commit):
            proposed.setdefault((edit.path, edit.new.oid if edit.new else None), branch.id)
    keys = {change.path: (change.path, change.entry.oid if change.entry else None) for change in changes}
    return {path: proposed[key] for path, key in keys.items() if key in proposed}


def propose(
    repo: Repository,
    main_branch: str,
    change_id: str,
    changes: Sequence[WorkChange],
    records: Mapping[str, bytes],
    message: str,
    *,
    sign: bool | None = None,
) -> Proposal:
    """Start branch change/<id> with one commit on main's tip; HEAD, index and work tree stay as they are."""
    if not is_change_id(change_id):
        raise CallError(f"`{change_id}` is no id of a change")
    if not changes:
        raise Refused(
            "there is nothing to propose: models, materials, prices and settings are as they are on main"
        )
    behind = tuple(change.path for change in changes if change.behind)
    if behind:
        raise Refused(
            f"{main_branch} has gone on with these files since your branch left it",
            f"bring your branch up to date first: git merge {main_branch}",
            behind,
        )
    identity(repo)
    entries: dict[str, Entry | None] = {change.path: change.entry for change in changes}
    entries |= record_entries(repo, records)
    main = _main(repo, main_branch)
    commit = write_commit(repo, write_tree(repo, main, entries), (main,), message, sign=sign)
    branch = f"change/{change_id}"
    if not move_ref(repo, f"refs/heads/{branch}", commit, None, message):
        raise Refused(
            f"the branch {branch} cannot be started", "it exists already, or a branch `change` is in its way"
        )
    return Proposal(change_id, branch, commit, tuple(entries))


def _main(repo: Repository, main_branch: str) -> str:
    main = read_refs(repo, main_branch).main
    if main is None:
        raise RepositoryError(
            f"there is no branch {main_branch} yet", "commit the first issue of the recipe there"
        )
    return main


def _root(repo: Repository) -> Path:
    if repo.root is None:
        raise Refused("a bare repository has no files to propose", "propose from a clone")
    return repo.root


def _present(repo: Repository, root: Path, on_main: Mapping[str, Entry]) -> list[str]:
    """The regular files that lie in the work tree; a link in the place of a file is refused."""
    # What main holds counts as well, though the index has lost it or .gitignore names it.
    args = ("ls-files", "--cached", "--others", "--exclude-standard", "-z", "--", *RECIPE_EDITS)
    listed = {as_path(raw) for raw in repo.git(*args).split(b"\0") if raw}
    paths, links = [], []
    for path in sorted(listed | set(on_main)):
        if not os.path.lexists(root / path):
            continue
        if stat.S_ISREG((root / path).lstat().st_mode):
            paths.append(path)
        elif path in on_main and on_main[path].mode.startswith("100"):
            links.append(path)
    if links:
        raise Refused(
            "files were replaced by links or folders", "put plain files in their place", tuple(links)
        )
    return paths


def _behind(repo: Repository, main: str, on_main: Mapping[str, Entry]) -> set[str]:
    """The paths that main has changed since HEAD left it, and that HEAD does not hold as main does."""
    head = head_commit(repo)
    if head == main:
        return set()
    fork = merge_base(repo, head, main) if head else None
    ours = tree_entries(repo, head, RECIPE_EDITS) if head else {}
    base = tree_entries(repo, fork, RECIPE_EDITS) if fork else {}
    paths = {*on_main, *base}
    return {path for path in paths if on_main.get(path) not in (base.get(path), ours.get(path))}
