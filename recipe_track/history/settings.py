"""What one clone keeps for itself and shares with nobody: its configuration, attributes and hooks."""

import os
from pathlib import Path

from recipe_track.history.neutral import foreign
from recipe_track.history.process import failure
from recipe_track.history.repository import Repository


def setting(repo: Repository, key: str) -> str | None:
    """The value of a key in this clone's own configuration; the last one where there are several."""
    args = ("config", "--local", "--null", "--get", key)
    answer = repo.run(*args)
    if answer.status not in (0, 1):
        raise failure(answer, args)
    return None if answer.status else os.fsdecode(answer.out).removesuffix("\0")


def set_setting(repo: Repository, key: str, value: str | None) -> None:
    """Give a key one value in this clone's own configuration, or take it out."""
    if value is not None:
        repo.git("config", "--local", "--replace-all", key, value)
    elif setting(repo, key) is not None:
        repo.git("config", "--local", "--unset-all", key)


def attributes_file(repo: Repository) -> Path:
    """The attributes of this clone, which every linked work tree shares."""
    return repo.common_dir / "info" / "attributes"


def hooks_folder(repo: Repository) -> Path:
    """Where git looks for hooks, whatever configuration says so."""
    # `rev-parse --git-path hooks` would tell where no run of ours looks for them.
    args = ("config", "--show-scope", "-z", "--type=path", "--get-all", "core.hooksPath")
    said = list(foreign(repo.git(*args, ok=(0, 1))))
    return repo.place / said[-1] if said else repo.common_dir / "hooks"
