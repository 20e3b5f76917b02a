"""Commits on main, whatever is checked out where, without harm to work in progress.

Objects first, then the work trees and indexes that follow main, the ref last. Objects that nothing refers to
do no harm. A run killed before the ref moved leaves at most whole files, on disk or staged, that main does
not hold; one killed after it has nothing left to do: whatever was acknowledged is on main.
"""

import time
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

from recipe_track.errors import CallError, Refused, RepositoryError
from recipe_track.history.making import record_entries, write_commit, write_tree
from recipe_track.history.objects import Edit, Entry, differing, tree_entries
from recipe_track.history.people import Person, identity
from recipe_track.history.process import failure
from recipe_track.history.refs import main_ref
from recipe_track.history.repository import Repository
from recipe_track.history.wording import says_lock_is_held, says_ref_is_elsewhere
from recipe_track.history.worktrees import (
    WorktreeUpdate,
    apply_update,
    plan_update,
    refuse_while_rebased,
    undo_update,
    worktrees_on,
)

ATTEMPTS = 20
_PAUSE = 0.02


@dataclass(frozen=True, slots=True)
class NextCommit:
    """What is to follow main's tip: a tree, and the tips merged with it."""

    tree: str
    merged: tuple[str, ...] = ()


def commit_record(
    repo: Repository,
    main_branch: str,
    files: Mapping[str, bytes],
    message: str,
    *,
    base: str | None = None,
    sign: bool | None = None,
    author: Person | None = None,
    moved: Callable[[str], None] | None = None,
) -> str:
    """Put files on main as one commit that holds nothing else, and return its id.

    `base` is the commit of main that changed files were read from, main's tip if left out; refused where main
    has another version of one of them by now. `moved` is given each tip that main has gone on to since, and
    stops it by raising. `author` is who brought the files, if that is not whoever is at work.
    """
    if not files:
        raise CallError("there is nothing to record")
    entries = record_entries(repo, files)
    start = base or local_tip(repo, main_ref(main_branch))

    def follow(tip: str | None) -> NextCommit:
        if tip and start and tip != start:
            _refuse_newer(repo, start, tip, entries)
            if moved:
                moved(tip)
        return NextCommit(write_tree(repo, tip, entries))

    return put_on_main(repo, main_branch, follow, message, only=entries, sign=sign, author=author)


def put_on_main(
    repo: Repository,
    main_branch: str,
    follow: Callable[[str | None], NextCommit],
    message: str,
    *,
    only: Collection[str] | None = None,
    sign: bool | None = None,
    author: Person | None = None,
) -> str:
    """Commit what is to follow main's tip; made anew as often as someone moves main meanwhile."""
    ref = main_ref(main_branch)
    identity(repo)  # before anything is written
    applied: list[WorktreeUpdate] = []
    try:
        for attempt in range(ATTEMPTS):
            time.sleep(_PAUSE * attempt)
            tip = local_tip(repo, ref)
            made = follow(tip)
            edits = differing(repo, tip, made.tree)
            _refuse_strays(edits, only)
            if not edits and not made.merged:
                return _already_there(tip, attempt)
            refuse_while_rebased(repo, ref)
            # All of them are planned, and may refuse, before the first of them is touched.
            updates = [plan_update(repo, root, edits) for root in worktrees_on(repo, ref)]
            parents = [*filter(None, [tip]), *made.merged]
            commit = write_commit(repo, made.tree, parents, message, sign=sign, author=author)
            for update in updates:
                applied.append(update)  # before it is begun: half of it may have to be undone
                apply_update(repo, update)
            if move_ref(repo, ref, commit, tip, message):
                return commit
    except BaseException:  # Ctrl-C, too
        _undo(repo, ref, applied)
        raise
    _undo(repo, ref, applied)
    raise Refused(
        f"{main_branch} moved on, or was locked, each time this was about to be written",
        f"try again; if no git is running, remove {ref}.lock from {repo.common_dir}",
    )


def local_tip(repo: Repository, ref: str) -> str | None:
    """The tip of a branch, None in a repository without any commit; a clone must have the branch itself."""
    # A pattern of for-each-ref also names what lies below it: the name itself is asked for, too.
    out = repo.git("for-each-ref", "--format=%(refname)%00%(objectname)", ref).decode()
    tips = dict(line.split("\0") for line in out.splitlines())
    if ref in tips:
        return tips[ref]
    # With other branches there, a missing main is not a beginning: a second root would be made.
    if repo.git("for-each-ref", "--count=1"):
        name = ref.removeprefix("refs/heads/")
        raise RepositoryError(f"there is no local branch {name}", f"git branch {name} origin/{name}")
    return None


def move_ref(repo: Repository, ref: str, new: str, old: str | None, message: str) -> bool:
    """Move a ref from one commit to another; False if it no longer stands where it stood, or is locked.

    Git compares and moves under its own lock: of two processes that saw the same tip only one succeeds. An
    old value of zeros stands for "must not be there yet".
    """
    reason = f"recipe-track: {message.splitlines()[0] if message.strip() else 'commit'}"
    args = ("update-ref", "-m", reason, ref, new, old or "0" * len(new))
    answer = repo.run(*args)
    if answer.status == 0:
        return True
    if says_ref_is_elsewhere(answer.err) or says_lock_is_held(answer.err):
        return False
    raise failure(answer, args)


def _refuse_newer(repo: Repository, start: str, tip: str, entries: Mapping[str, Entry | None]) -> None:
    """Nobody's edit of a file is written over by one that was made without knowing of it."""
    then, now = (tree_entries(repo, commit, list(entries)) for commit in (start, tip))
    newer = tuple(path for path, entry in entries.items() if now.get(path) not in (then.get(path), entry))
    if newer:
        raise Refused(
            "a file has changed meanwhile on main, so nothing was written", "look at it and try again", newer
        )


def _refuse_strays(edits: tuple[Edit, ...], only: Collection[str] | None) -> None:
    """A file where a folder was, or the other way round, would take other files away."""
    strays = tuple(edit.path for edit in edits if only is not None and edit.path not in only)
    if strays:
        raise Refused("this would take other files away, so nothing was written", "", strays)


def _already_there(tip: str | None, attempt: int) -> str:
    """On a later attempt someone's own commit has swept the staged files along: they are on main."""
    if attempt == 0 or tip is None:
        raise Refused("main holds exactly this already, so nothing was written")
    return tip


def _undo(repo: Repository, ref: str, applied: list[WorktreeUpdate]) -> None:
    """Undo in work trees and indexes, newest first, what main does not hold."""
    if not applied:
        return
    tip = local_tip(repo, ref)
    for update in reversed(applied):
        paths = [one.edit.path for one in update.paths]
        undo_update(repo, update, tree_entries(repo, tip, paths) if tip else {})
