"""What a power cut or a stray hand leaves of a repository: named as that, and never taken for a new one."""

from collections.abc import Iterator
from pathlib import Path

from recipe_track.errors import RepositoryError
from recipe_track.history.repository import Repository


def missing_main(repo: Repository, ref: str) -> RepositoryError | None:
    """Why main is not there; None in a new repository, or in a clone that was made without it."""
    name = ref.removeprefix("refs/heads/")
    file = repo.common_dir / ref
    last = next(_noted(repo, ref), None) or next(_noted(repo, "HEAD"), None)
    back = f"git update-ref {ref} {last or 'COMMIT, one of those that git fsck --lost-found names'}"
    if file.is_file():
        return RepositoryError(
            f"the branch {name} is damaged: {file} names no commit", f"put it back: rm {file}; {back}"
        )
    others = bool(repo.git("for-each-ref", "--count=1", "refs/heads", "refs/remotes", "refs/tags"))
    on_it = repo.git("symbolic-ref", "--quiet", "HEAD", ok=(0, 1)).decode().strip() == ref
    if on_it and (last or others):
        return RepositoryError(
            f"the branch {name} is gone, and it is checked out here", f"put it back: {back}"
        )
    if (others or last) and not repo.git("remote"):
        return RepositoryError(
            f"there is no local branch {name}, and recipe-track.toml names it as main",
            f"set main_branch there, or start it: git branch {name} COMMIT",
        )
    return None


def _noted(repo: Repository, ref: str) -> Iterator[str]:
    """The commits that git noted of a ref, the latest first."""
    log = repo.common_dir / "logs" / ref
    if not log.is_file():
        return
    for line in reversed(log.read_text("utf-8", "replace").splitlines()):
        words = line.split(" ", 2)
        if len(words) == 3 and set(words[1]) != {"0"}:
            yield words[1]


def damaged_above(folder: Path) -> RepositoryError | None:
    """What is wrong with the git directory that holds a folder, where git takes it for none."""
    for above in (folder, *folder.parents):
        git_dir = _git_dir(above / ".git")
        if git_dir is None:
            continue
        head = git_dir / "HEAD"
        if not head.is_file() or not head.read_bytes().strip():
            return RepositoryError(
                f"the repository {above} is damaged: {head} is {'empty' if head.is_file() else 'missing'}",
                f"name the branch that was checked out: echo 'ref: refs/heads/main' > {head}",
            )
        return RepositoryError(
            f"{git_dir} is no git directory that git can read", "look at it with git status"
        )
    return None


def _git_dir(entry: Path) -> Path | None:
    """Where `.git` leads: a folder, or a file that names one."""
    if entry.is_dir():
        return entry
    if entry.is_file():
        named = entry.read_text("utf-8", "replace").removeprefix("gitdir:").strip()
        return entry.parent / named
    return None
