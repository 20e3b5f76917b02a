"""What one clone keeps for itself: configuration, attributes, hooks, a commit or merge being made."""

import os
from pathlib import Path

from recipe_track.history.log import parse_trailers
from recipe_track.history.objects import RECIPE_EDITS
from recipe_track.history.repository import Repository, as_path, failure, run_anywhere


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
    out = repo.git("rev-parse", "--path-format=absolute", "--git-path", "hooks")
    return Path(os.fsdecode(out).removesuffix("\n"))


_MOST_CONFLICTS = 127  # the status is their number, and an error beyond it


def join_with_markers(base: Path, ours: Path, theirs: Path, marker_size: int) -> bool:
    """Merge as git does without a driver, written over ours; whether nobody has to choose."""
    labels = ("-L", "ours", "-L", "base", "-L", "theirs")
    files = [os.fspath(path.absolute()) for path in (ours, base, theirs)]
    args = ("merge-file", "--quiet", f"--marker-size={marker_size}", *labels, *files)
    answer = run_anywhere(ours.absolute().parent, *args)
    if answer.status > _MOST_CONFLICTS:  # binary content, say: ours stays as it was
        raise failure(answer, args)
    return answer.status == 0


_SCISSORS = b" ------------------------ >8 ------------------------\n"


def staged_edits(repo: Repository) -> tuple[tuple[str, str], ...]:
    """Status letter and path of every recipe file that the commit changes."""
    env = {"GIT_INDEX_FILE": repo.index_file} if repo.index_file else None
    born = repo.run("rev-parse", "--verify", "--quiet", "HEAD").status == 0
    before = "HEAD" if born else repo.git("hash-object", "-t", "tree", "--stdin").decode().strip()
    options = ("--cached", "--no-renames", "--no-ext-diff", "--name-status", "-z")
    tokens = repo.git("diff-index", *options, before, "--", *RECIPE_EDITS, env=env).split(b"\0")[:-1]
    pairs = zip(tokens[::2], tokens[1::2], strict=True)
    return tuple((letter.decode(), as_path(path)) for letter, path in pairs)


def is_merging(repo: Repository) -> bool:
    """Whether the commit closes a merge."""
    return (repo.git_dir / "MERGE_HEAD").exists()


def message_trailers(repo: Repository, message: bytes) -> dict[str, str]:
    """Trailers of a message as it comes out of an editor, by key in lower case."""
    kept = message.split(_SCISSORS, 1)[0]
    text = repo.git("stripspace", "--strip-comments", stdin=kept).decode("utf-8", "replace")
    return {key.lower(): value for key, value in parse_trailers(text)}
