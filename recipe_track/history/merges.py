"""Versions joined: a change merged into main, and one file merged as git would."""

import os
from collections.abc import Callable, Mapping
from pathlib import Path

from recipe_track.errors import Refused, RepositoryError
from recipe_track.history.commit_to_main import NextCommit, local_tip, put_on_main
from recipe_track.history.making import record_entries, write_commit, write_tree
from recipe_track.history.neutral import plain_drivers
from recipe_track.history.process import failure
from recipe_track.history.refs import is_ancestor, main_ref
from recipe_track.history.repository import Repository, run_anywhere

MERGING_GIT = (2, 38)  # the first with `merge-tree --write-tree`, which needs no work tree
# How files are matched across renames decides what is a conflict: not a matter of anyone's settings.
_MERGE_SETTINGS = (
    *("-c", "merge.renames=true", "-c", "merge.directoryRenames=conflict", "-c", "merge.renameLimit=7000"),
    *("-c", "diff.renames=true", "-c", "diff.renameLimit=7000", "-c", "merge.renormalize=false"),
)
_MOST_CONFLICTS = 127  # the status of merge-file is their number, and an error beyond it


def approve(
    repo: Repository,
    main_branch: str,
    branch: str,
    records: Mapping[str, bytes],
    message: str,
    *,
    check: Callable[[str], None] | None = None,
    base: str | None = None,
    moved: Callable[[str], None] | None = None,
    sign: bool | None = None,
) -> str:
    """Put records on top of a change, merge both into main, and return the merge commit.

    The decision is a commit of its own on the change's line: a merge that is flattened later keeps it.
    `check` is given each tree about to become main's, records included, and `moved` each tip that main has
    gone on to since `base`; both stop it by raising.
    """
    decided = write_commit(
        repo, write_tree(repo, branch, record_entries(repo, records)), (branch,), message, sign=sign
    )

    def follow(tip: str | None) -> NextCommit:
        if tip is None:
            raise RepositoryError(f"there is no branch {main_branch} yet")
        if is_ancestor(repo, branch, tip):
            raise Refused("main holds this change already, so nothing was merged")
        if moved and base and tip != base:
            moved(tip)
        tree = merged_tree(repo, tip, decided)
        if check:
            check(tree)
        return NextCommit(tree, (decided,))

    return put_on_main(repo, main_branch, follow, message, sign=sign)


def merge_preview(repo: Repository, main_branch: str, branch: str) -> str:
    """The tree that main would have if a change were approved now; nothing moves."""
    tip = local_tip(repo, main_ref(main_branch))
    if tip is None:
        raise RepositoryError(f"there is no branch {main_branch} yet")
    return merged_tree(repo, tip, branch)


def merged_tree(repo: Repository, main: str, branch: str) -> str:
    """The tree that merging a commit into another gives; a conflict is refused with its paths."""
    if repo.git_version < MERGING_GIT:
        version = ".".join(map(str, repo.git_version))
        raise RepositoryError(
            f"approving needs git 2.38 or newer, and this is {version}", "install a newer git"
        )
    args = ("merge-tree", "--write-tree", "-z", "--name-only", "--no-messages", main, branch)
    answer = repo.run(*_MERGE_SETTINGS, *plain_drivers(repo), *args)
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


def join_with_markers(base: Path, ours: Path, theirs: Path, marker_size: int) -> bool:
    """Merge one file as git does without a driver, written over ours; whether nobody has to choose."""
    labels = ("-L", "ours", "-L", "base", "-L", "theirs")
    files = [os.fspath(path.absolute()) for path in (ours, base, theirs)]
    args = ("merge-file", "--quiet", f"--marker-size={marker_size}", *labels, *files)
    answer = run_anywhere(ours.absolute().parent, *args)
    if answer.status > _MOST_CONFLICTS:  # binary content, say: ours stays as it was
        raise failure(answer, args)
    return answer.status == 0
