"""Which work trees, this one or linked ones, stand in a branch."""

import contextlib
import os
from pathlib import Path

from recipe_track.errors import Refused
from recipe_track.history.repository import Repository


def checkouts(repo: Repository, ref: str) -> tuple[Path, ...]:
    """The work trees, this one or linked ones, that have a branch checked out."""
    ends, end = (("-z",), b"\0") if repo.git_version >= (2, 36) else ((), b"\n")
    found: list[Path] = []
    for block in repo.git("worktree", "list", "--porcelain", *ends).split(end * 2):
        lines = [os.fsdecode(line) for line in block.split(end)]
        folder = Path(lines[0].removeprefix("worktree "))
        if f"branch {ref}" not in lines or any(line.split(" ")[0] == "prunable" for line in lines):
            continue
        if not folder.is_dir():
            raise Refused(
                f"{ref.removeprefix('refs/heads/')} is checked out in {folder}, which cannot be reached"
            )
        found.append(folder)
    return tuple(found)


def refuse_while_rebased(repo: Repository, ref: str) -> None:
    """Refuse while any work tree is rebasing a branch: the rebase would put the branch back at its end."""
    for git_dir in (repo.common_dir, *(repo.common_dir / "worktrees").glob("*")):
        for note in ("rebase-merge/head-name", "rebase-apply/head-name", "rebase-merge/update-refs"):
            with contextlib.suppress(FileNotFoundError, NotADirectoryError):
                if ref in (git_dir / note).read_text("utf-8", "replace").splitlines():
                    name = ref.removeprefix("refs/heads/")
                    raise Refused(
                        f"{name} is being rebased, so nothing was written",
                        "finish it (`git rebase --continue`) first",
                    )
