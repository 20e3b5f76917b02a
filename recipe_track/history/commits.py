"""Commits on main, merges among them, whatever is checked out where, without harm to work in progress."""

import time
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

from recipe_track.errors import CallError, Refused, RepositoryError
from recipe_track.history.objects import (
    Edit,
    Entry,
    differing,
    read_many,
    record_entries,
    tree,
    tree_entries,
    write_commit,
    write_tree,
)
from recipe_track.history.people import identity
from recipe_track.history.refs import is_ancestor, main_ref
from recipe_track.history.repository import Repository, failure
from recipe_track.history.worktrees import Checkout, checkouts, follow, plan, refuse_while_rebased, restore

ATTEMPTS = 20
_PAUSE = 0.02


@dataclass(frozen=True, slots=True)
class Draft:
    """A tree and the further parents of a commit that is to follow a tip."""

    tree: str
    others: tuple[str, ...] = ()


def commit_record(
    repo: Repository,
    main_branch: str,
    files: Mapping[str, bytes],
    message: str,
    *,
    base: str | None = None,
    sign: bool | None = None,
) -> str:
    """Put files on main as one commit that holds nothing else, and return its id.

    `base` is the commit of main that changed files were read from, main's tip if left out; refused where main
    has another version of one of them by now.
    """
    if not files:
        raise CallError("there is nothing to record")
    entries = record_entries(repo, files)
    start = base or local_tip(repo, main_ref(main_branch))

    def draft(tip: str | None) -> Draft:
        if tip and start and tip != start:
            _refuse_newer(repo, start, tip, entries)
        return Draft(write_tree(repo, tip, entries))

    return put_on_main(repo, main_branch, draft, message, only=entries, sign=sign)


def put_on_main(
    repo: Repository,
    main_branch: str,
    draft: Callable[[str | None], Draft],
    message: str,
    *,
    only: Collection[str] | None = None,
    sign: bool | None = None,
) -> str:
    """Commit a draft onto main: objects first, then work trees and indexes that follow main, the ref last.

    The draft is made anew for each tip, as often as another process moves main in between.
    """
    ref = main_ref(main_branch)
    identity(repo)
    done: list[Checkout] = []
    try:
        for attempt in range(ATTEMPTS):
            time.sleep(_PAUSE * attempt)
            tip = local_tip(repo, ref)
            made = draft(tip)
            edits = differing(repo, tip, made.tree)
            _check_paths(edits, only)
            if not edits and not made.others:
                return _already_there(tip, attempt)
            refuse_while_rebased(repo, ref)
            planned = [plan(repo, root, edits) for root in checkouts(repo, ref)]
            commit = write_commit(repo, made.tree, [*filter(None, [tip]), *made.others], message, sign=sign)
            for checkout in planned:
                done.append(checkout)
                follow(repo, checkout)
            if swap(repo, ref, commit, tip, message):
                return commit
    except BaseException:
        _take_back(repo, ref, done)
        raise
    _take_back(repo, ref, done)
    raise Refused(
        f"{main_branch} moved on, or was locked, each time this was about to be written",
        f"try again; if no git is running, remove {ref}.lock from {repo.common_dir}",
    )


def local_tip(repo: Repository, ref: str) -> str | None:
    """The tip of a branch, None in a repository without any commit; a clone must have the branch itself."""
    out = repo.git("for-each-ref", "--format=%(refname)%00%(objectname)", ref).decode()
    tips = dict(line.split("\0") for line in out.splitlines())
    if ref in tips:
        return tips[ref]
    if repo.git("for-each-ref", "--count=1"):
        name = ref.removeprefix("refs/heads/")
        raise RepositoryError(f"there is no local branch {name}", f"git branch {name} origin/{name}")
    return None


def swap(repo: Repository, ref: str, new: str, old: str | None, message: str) -> bool:
    """Move a ref from one commit to another; False if it no longer stands where it stood, or is locked."""
    reason = f"recipe-track: {message.splitlines()[0] if message.strip() else 'commit'}"
    args = ("update-ref", "-m", reason, ref, new, old or "0" * len(new))
    answer = repo.run(*args)
    if answer.status == 0:
        return True
    if "cannot lock ref" in answer.err and ("expected" in answer.err or "exists" in answer.err):
        return False
    raise failure(answer, args)


def read_files(repo: Repository, commit: str, *paths: str) -> dict[str, bytes]:
    """The content of those of the paths that a commit holds."""
    found = {path: oid for path, oid in tree(repo, commit, paths).items() if path in paths}
    contents = read_many(repo, found.values())
    return {path: contents[oid] for path, oid in found.items()}


def _refuse_newer(repo: Repository, start: str, tip: str, entries: Mapping[str, Entry | None]) -> None:
    """Nobody's edit of a file is written over by one that was made without knowing of it."""
    then, now = (tree_entries(repo, commit, list(entries)) for commit in (start, tip))
    newer = tuple(path for path, entry in entries.items() if now.get(path) not in (then.get(path), entry))
    if newer:
        raise Refused(
            "a file has changed meanwhile on main, so nothing was written", "look at it and try again", newer
        )


def _check_paths(edits: tuple[Edit, ...], only: Collection[str] | None) -> None:
    """A file where a folder was, or the other way round, would take other files away."""
    strays = tuple(edit.path for edit in edits if only is not None and edit.path not in only)
    if strays:
        raise Refused("this would take other files away, so nothing was written", "", strays)


def _already_there(tip: str | None, attempt: int) -> str:
    """On a later attempt someone's own commit has swept the staged files along: they are on main."""
    if attempt == 0 or tip is None:
        raise Refused("main holds exactly this already, so nothing was written")
    return tip


def _take_back(repo: Repository, ref: str, done: list[Checkout]) -> None:
    """Undo in work trees and indexes, newest first, what main does not hold."""
    if not done:
        return
    tip = local_tip(repo, ref)
    for checkout in reversed(done):
        paths = [step.edit.path for step in checkout.steps]
        restore(repo, checkout, tree_entries(repo, tip, paths) if tip else {})


MERGING_GIT = (2, 38)
# How files are matched across renames decides what is a conflict: not a matter of anyone's settings.
_MERGE_SETTINGS = (
    *("-c", "merge.renames=true", "-c", "merge.directoryRenames=conflict", "-c", "merge.renameLimit=7000"),
    *("-c", "diff.renames=true", "-c", "diff.renameLimit=7000", "-c", "merge.renormalize=false"),
)


def merged_tree(repo: Repository, main: str, branch: str) -> str:
    """The tree that merging a commit into another gives; a conflict is refused with its paths."""
    if repo.git_version < MERGING_GIT:
        found = ".".join(map(str, repo.git_version))
        raise RepositoryError(
            f"approving needs git 2.38 or newer, and this is {found}", "install a newer git"
        )
    args = ("merge-tree", "--write-tree", "-z", "--name-only", "--no-messages", main, branch)
    answer = repo.run(*_MERGE_SETTINGS, *args)
    if answer.status not in (0, 1):
        raise failure(answer, args)
    tree, *paths = answer.out.decode("utf-8", "surrogateescape").split("\0")
    if answer.status == 1:
        raise Refused(
            "the change and main edit the same lines, so nothing was merged",
            "merge main into the change's branch, settle the conflict there, and approve again",
            tuple(dict.fromkeys(filter(None, paths))),
        )
    return tree


def merge_preview(repo: Repository, main_branch: str, branch: str) -> str:
    """The tree that main would have if a change were approved now; nothing moves."""
    tip = local_tip(repo, main_ref(main_branch))
    if tip is None:
        raise RepositoryError(f"there is no branch {main_branch} yet")
    return merged_tree(repo, tip, branch)


def approve(
    repo: Repository,
    main_branch: str,
    branch: str,
    records: Mapping[str, bytes],
    message: str,
    *,
    check: Callable[[str], None] | None = None,
    sign: bool | None = None,
) -> str:
    """Merge the tip of a change into main together with records, and return the merge commit.

    `check` is given each tree about to become main's, records included, and stops it by raising.
    """
    entries = record_entries(repo, records)

    def draft(tip: str | None) -> Draft:
        if tip is None:
            raise RepositoryError(f"there is no branch {main_branch} yet")
        if is_ancestor(repo, branch, tip):
            raise Refused("main holds this change already, so nothing was merged")
        tree = write_tree(repo, merged_tree(repo, tip, branch), entries)
        if check:
            check(tree)
        return Draft(tree, (branch,))

    return put_on_main(repo, main_branch, draft, message, sign=sign)
