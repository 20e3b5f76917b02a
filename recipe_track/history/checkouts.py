"""Which work trees, this one or others of the repository, have a branch checked out."""

import contextlib
import os
from collections.abc import Iterator, Sequence
from pathlib import Path

from recipe_track.errors import Refused
from recipe_track.history.repository import Repository


def worktrees_on(repo: Repository, ref: str) -> tuple[Path, ...]:
    """The work trees that have a branch checked out, this one first.

    Git lists the first work tree as the folder that holds the git directory: with a separate git directory,
    or in a submodule, that is no work tree at all. So this one is never looked up in the list.
    """
    here = [repo.root] if repo.root is not None and _head(repo) == ref else []
    first, *linked = _listed(repo)
    if repo.git_dir != repo.common_dir and f"branch {ref}" in first:
        here.append(_first_tree(repo, _folder(first), ref))
    return (*here, *_linked_on(repo, linked, ref))


def _head(repo: Repository) -> str:
    """The branch that is checked out here, in full; empty where HEAD is on none."""
    return repo.git("symbolic-ref", "--quiet", "HEAD", ok=(0, 1)).decode().strip()


def _listed(repo: Repository) -> list[list[str]]:
    """What git tells of each work tree, the first one first, a line for each thing."""
    # Without -z, git before 2.36 lists a folder with a line end in its name over two lines.
    ends, end = (("-z",), b"\0") if repo.git_version >= (2, 36) else ((), b"\n")
    out = repo.git("worktree", "list", "--porcelain", *ends)
    return [[os.fsdecode(line) for line in block.split(end)] for block in out.split(end * 2) if block]


def _folder(lines: Sequence[str]) -> Path:
    return Path(lines[0].removeprefix("worktree "))


def _linked_on(repo: Repository, linked: Sequence[Sequence[str]], ref: str) -> Iterator[Path]:
    for lines in linked:
        folder = _folder(lines)
        if f"branch {ref}" not in lines or any(line.split(" ")[0] == "prunable" for line in lines):
            continue
        _require_reachable(folder, ref)
        if repo.root is None or not folder.samefile(repo.root):
            yield folder


def _first_tree(repo: Repository, listed: Path, ref: str) -> Path:
    """The work tree that the repository was made with, seen from a linked one."""
    named = repo.git("config", "--file", str(repo.common_dir / "config"), "core.worktree", ok=(0, 1))
    folder = repo.common_dir / os.fsdecode(named).removesuffix("\n") if named else listed
    _require_reachable(folder, ref)
    args = ("rev-parse", "--path-format=absolute", "--git-common-dir", "--show-toplevel")
    answer = repo.run(*args, at=folder)
    lines = os.fsdecode(answer.out).split("\n")
    if answer.status != 0 or not Path(lines[0]).samefile(repo.common_dir):
        # Moved without it, the branch would leave its work tree behind.
        raise Refused(
            f"{_name(ref)} is checked out in a work tree that {repo.common_dir} does not name,"
            " so nothing was written",
            f"work there, or name it once: git config --file {repo.common_dir / 'config'} core.worktree DIR",
        )
    return Path(lines[1])


def _require_reachable(folder: Path, ref: str) -> None:
    """Refuse a drive that is not there now: moved without it, the branch would leave its work tree behind."""
    if not folder.is_dir():
        raise Refused(f"{_name(ref)} is checked out in {folder}, which cannot be reached")


def _name(ref: str) -> str:
    return ref.removeprefix("refs/heads/")


def refuse_while_rebased(repo: Repository, ref: str) -> None:
    """Refuse while any work tree is rebasing a branch: the rebase would put the branch back at its end.

    HEAD is detached meanwhile, so no list of work trees names the branch; only these notes of git do.
    """
    for git_dir in (repo.common_dir, *(repo.common_dir / "worktrees").glob("*")):
        for note in ("rebase-merge/head-name", "rebase-apply/head-name", "rebase-merge/update-refs"):
            with contextlib.suppress(FileNotFoundError, NotADirectoryError):
                if ref in (git_dir / note).read_text("utf-8", "replace").splitlines():
                    raise Refused(
                        f"{_name(ref)} is being rebased, so nothing was written",
                        "finish it (`git rebase --continue`) first",
                    )
