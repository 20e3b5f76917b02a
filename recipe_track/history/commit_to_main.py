"""Commits on main, whatever is checked out where, without harm to work in progress.

Objects first, then the work trees and indexes that follow main, the ref last. Objects that nothing refers to
do no harm. A run killed before the ref moved leaves at most whole files, on disk or staged, that main does
not hold; one killed after it has nothing left to do: whatever was acknowledged is on main.
"""

import time
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from recipe_track.errors import CallError, Refused, RepositoryError, TrackError
from recipe_track.history.checkouts import refuse_while_rebased, worktrees_on
from recipe_track.history.damage import missing_main
from recipe_track.history.lock import writing
from recipe_track.history.making import record_entries, write_commit, write_tree
from recipe_track.history.objects import Edit, Entry, differing, tree_entries
from recipe_track.history.people import Person, identity
from recipe_track.history.process import failure
from recipe_track.history.refs import main_ref
from recipe_track.history.repository import Repository
from recipe_track.history.wording import says_lock_is_held, says_ref_is_elsewhere
from recipe_track.history.worktrees import (
    Placing,
    WorktreeUpdate,
    apply_update,
    not_as_meant,
    plan_update,
    undo_update,
)

SWAP_SECONDS = 60.0
_PAUSE, _LONGEST_PAUSE = 0.02, 0.5


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
    """Commit what is to follow main's tip; made anew as often as someone's own git moves main meanwhile.

    Of this program's processes one writes at a time: what one has placed is never taken for a leftover, or
    taken back, by another.
    """
    ref = main_ref(main_branch)
    identity(repo)  # before anything is written
    placed: list[Placing] = []
    with writing(repo):
        try:
            for attempt, pause in enumerate(_pauses()):
                time.sleep(pause)
                tip = local_tip(repo, ref)
                made = follow(tip)
                edits = differing(repo, tip, made.tree)
                _refuse_strays(edits, only)
                if not edits and not made.merged:
                    return _already_there(tip, attempt)
                parents = [*filter(None, [tip]), *made.merged]
                updates = _planned(repo, ref, edits)
                commit = write_commit(repo, made.tree, parents, message, sign=sign, author=author)
                _place(repo, updates, placed)
                if move_ref(repo, ref, commit, tip, message):
                    repo.notes += _not_as_meant(repo, updates)
                    return commit
            raise Refused(
                f"{main_branch} moved on, or was locked, each time this was about to be written",
                f"try again; if no git is running, remove {ref}.lock from {repo.common_dir}",
            )
        except BaseException as error:  # Ctrl-C, too
            _undo(repo, ref, placed, error)
            raise


def _planned(repo: Repository, ref: str, edits: Sequence[Edit]) -> list[WorktreeUpdate]:
    """What every work tree in main needs: all may refuse, before the first of them is touched."""
    refuse_while_rebased(repo, ref)
    return [plan_update(repo, root, edits) for root in worktrees_on(repo, ref)]


def _place(repo: Repository, updates: Sequence[WorktreeUpdate], placed: list[Placing]) -> None:
    for update in updates:
        placed.append(Placing(update))
        apply_update(repo, placed[-1])


def _pauses() -> Iterator[float]:
    """How long to wait before each attempt, longer and longer, until the time is up."""
    end = time.monotonic() + SWAP_SECONDS
    pause = 0.0
    while pause == 0.0 or time.monotonic() < end:
        yield pause
        pause = min(pause + _PAUSE, _LONGEST_PAUSE)


def local_tip(repo: Repository, ref: str) -> str | None:
    """The tip of a branch, None in a repository without any commit; a clone must have the branch itself."""
    # A pattern of for-each-ref also names what lies below it: the name itself is asked for, too.
    out = repo.git("for-each-ref", "--format=%(refname)%00%(objectname)", ref).decode()
    tips = dict(line.split("\0") for line in out.splitlines())
    if ref in tips:
        return tips[ref]
    if (damage := missing_main(repo, ref)) is not None:
        raise damage
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


def _not_as_meant(repo: Repository, updates: Sequence[WorktreeUpdate]) -> Iterator[str]:
    """What is on main by now, and not so where main is checked out: someone else was at work there."""
    for update in updates:
        told = not_as_meant(repo, update)
        if told:
            yield f"it is on main, but {update.root} does not hold as main does: {', '.join(told)}"
            yield "look at it there with git status; git restore --staged --worktree FILE takes main's"


def _undo(repo: Repository, ref: str, placed: list[Placing], error: BaseException) -> None:
    """Take back in work trees and indexes, newest first, what main does not hold; say what could not be."""
    left: list[str] = []
    for placing in reversed(placed):
        paths = [one.edit.path for one in placing.update.paths]
        try:
            tip = local_tip(repo, ref)
            undo_update(repo, placing, tree_entries(repo, tip, paths) if tip else {})
        except (TrackError, OSError) as failed:
            left.append(f"{placing.update.root}: {', '.join(paths)} ({failed})")
    if left:
        why = error.message if isinstance(error, TrackError) else str(error) or type(error).__name__
        hint = (
            "git status names them; git restore --staged --worktree FILE, or git rm -f FILE, takes them away"
        )
        raise Refused(f"{why}; what was placed so far could not be taken back", hint, tuple(left)) from error
