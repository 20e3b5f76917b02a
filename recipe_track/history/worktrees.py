"""Work trees, this one or linked ones, that follow a branch: brought along path by path, or refused."""

import contextlib
import os
import secrets
import stat
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from recipe_track.errors import Refused
from recipe_track.history.objects import Edit, Entry, hash_files, index_info
from recipe_track.history.repository import Repository, as_path, failure

LOCK_SECONDS = 5.0
_PAUSE = 0.05


@dataclass(frozen=True, slots=True)
class PathStep:
    """What one path of a work tree needs: bytes to put (None removes), or only its index entry."""

    edit: Edit
    staged: Entry | None
    before: bytes | None
    write: bool


@dataclass(frozen=True, slots=True)
class Checkout:
    """A work tree and what is to be done in it; nothing is done yet."""

    root: Path
    steps: tuple[PathStep, ...]


def plan(repo: Repository, root: Path, edits: Sequence[Edit]) -> Checkout:
    """What a work tree needs to follow its branch; refused, with the paths, where any of them is edited."""
    staged = _staged(repo, root, [edit.path for edit in edits])
    files = {edit.path: _look(root, edit.path) for edit in edits}
    hashes = hash_files(repo, root, [path for path, content in files.items() if isinstance(content, bytes)])
    steps, edited = [], []
    for edit in edits:
        index = staged.get(edit.path, _Staged(None))
        step = _step(edit, index, files[edit.path], hashes.get(edit.path))
        if step is None:
            edited.append(edit.path)
        else:
            steps.append(step)
    if edited:
        what = "the work tree holds other work in files this would change, so nothing was written"
        raise Refused(what, f"commit it or put it away first, in {root}", tuple(edited))
    return Checkout(root, tuple(steps))


def follow(repo: Repository, checkout: Checkout) -> None:
    """Put the new bytes in place, then set exactly these index entries."""
    for step in checkout.steps:
        if step.write:
            _place(repo, checkout.root, step)
    _stage(repo, checkout.root, {step.edit.path: step.edit.new for step in checkout.steps})


def restore(repo: Repository, checkout: Checkout, kept: Mapping[str, Entry | None]) -> None:
    """Take back what `follow` did, but for paths that the branch holds in their new version after all."""
    back = [step for step in checkout.steps if kept.get(step.edit.path) != step.edit.new]
    ours = _staged(repo, checkout.root, [step.edit.path for step in back])
    for step in back:
        file = checkout.root / step.edit.path
        if step.write and _look(checkout.root, step.edit.path) == _content(repo, step.edit):
            _put(checkout.root, file, step.before, step.edit.old)
    entries = {
        step.edit.path: step.staged
        for step in back
        if ours.get(step.edit.path, _Staged(None)).entry == step.edit.new != step.staged
    }
    if entries:
        _stage(repo, checkout.root, entries)


@dataclass(frozen=True, slots=True)
class _Staged:
    entry: Entry | None
    conflict: bool = False
    skipped: bool = False


class _Odd:
    """Something that is neither a file nor absent, or lies behind a link."""


def _staged(repo: Repository, root: Path, paths: Sequence[str]) -> dict[str, _Staged]:
    found: dict[str, _Staged] = {}
    if not paths:
        return found
    for line in filter(None, repo.git("ls-files", "-s", "-t", "-z", "--", *paths, at=root).split(b"\0")):
        meta, path = line.split(b"\t", 1)
        tag, mode, oid, stage = meta.decode().split(" ")
        found[as_path(path)] = _Staged(Entry(mode, oid), stage != "0", tag == "S")
    return {path: found[path] for path in paths if path in found}


def _look(root: Path, path: str) -> bytes | _Odd | None:
    """The bytes of a work-tree file, None where there is none."""
    folder = root
    for part in path.split("/")[:-1]:
        folder = folder / part
        if not os.path.lexists(folder):
            return None
        if not stat.S_ISDIR(folder.lstat().st_mode):
            return _Odd()
    file = root / path
    if not os.path.lexists(file):
        return None
    return file.read_bytes() if stat.S_ISREG(file.lstat().st_mode) else _Odd()


def _step(edit: Edit, index: _Staged, content: bytes | _Odd | None, oid: str | None) -> PathStep | None:
    """The step for a path, None where index or work tree hold anything but the old or the new version."""
    if index.conflict or index.entry not in (edit.old, edit.new) or isinstance(content, _Odd):
        return None
    if any(entry is not None and not entry.mode.startswith("100") for entry in (edit.old, edit.new)):
        return None
    old, new = (entry.oid if entry else None for entry in (edit.old, edit.new))
    absent_on_purpose = index.skipped and content is None
    if oid == new and not absent_on_purpose:
        return PathStep(edit, index.entry, content, write=False)
    if oid == old or absent_on_purpose:
        return PathStep(edit, index.entry, content, write=True)
    return None


def _content(repo: Repository, edit: Edit) -> bytes | None:
    """The bytes of the new version as a checkout would write them."""
    if edit.new is None:
        return None
    return repo.git("cat-file", "--filters", f"--path={edit.path}", edit.new.oid)


def _place(repo: Repository, root: Path, step: PathStep) -> None:
    content = _content(repo, step.edit)
    if _look(root, step.edit.path) != step.before:
        raise Refused("a file was edited while this was at work", "try again", (step.edit.path,))
    _put(root, root / step.edit.path, content, step.edit.new)


def _put(root: Path, file: Path, content: bytes | None, entry: Entry | None) -> None:
    """Write beside and rename into place, or remove with the folders left empty."""
    if content is None:
        file.unlink(missing_ok=True)
        for folder in file.relative_to(root).parents[:-1]:
            with contextlib.suppress(OSError):  # not empty
                (root / folder).rmdir()
        return
    file.parent.mkdir(parents=True, exist_ok=True)
    beside = file.with_name(f".recipe-track-{secrets.token_hex(6)}.tmp")
    mode = 0o777 if entry and entry.mode == "100755" else 0o666
    try:
        with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        beside.replace(file)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def _stage(repo: Repository, root: Path, entries: Mapping[str, Entry | None]) -> None:
    """Set index entries, waiting a while for a git that holds the index."""
    args = ("update-index", "-z", "--index-info")
    for _ in _patience():
        answer = repo.run(*args, stdin=index_info(repo, entries), at=root)
        if answer.status == 0:
            return
        if "index.lock" not in answer.err:
            raise failure(answer, args)
    raise Refused(
        f"git is at work in {root} (it holds index.lock), so nothing was written",
        "finish the commit that has an editor open; if no git is running, remove the lock file it names",
    )


def _patience() -> Iterator[None]:
    end = time.monotonic() + LOCK_SECONDS
    yield None
    while time.monotonic() < end:
        time.sleep(_PAUSE)
        yield None


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
