"""Work trees, this one or linked ones, that follow a branch: brought along path by path, or refused.

A branch that is checked out cannot just be moved: its work tree and index would still hold the old version,
and the person's next `git commit -a` would take the new one back. So each path that the commit changes is
brought along in both; every other path keeps its bytes and its index entry, staged or not.
"""

import contextlib
import os
import secrets
import stat
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from recipe_track.errors import Refused
from recipe_track.history.making import index_info
from recipe_track.history.objects import Edit, Entry, hash_files
from recipe_track.history.process import as_path, failure
from recipe_track.history.repository import Repository
from recipe_track.history.wording import says_lock_is_held

LOCK_SECONDS = 5.0
_PAUSE = 0.05


@dataclass(frozen=True, slots=True)
class PathUpdate:
    """What one path of a work tree needs: new bytes (None of the new entry removes), or its index entry only.

    `staged` and `before` are what index and file held when it was looked at, for taking it back.
    """

    edit: Edit
    staged: Entry | None
    before: bytes | None
    write: bool


@dataclass(frozen=True, slots=True)
class WorktreeUpdate:
    """A work tree and what is to be done in it; nothing is done yet."""

    root: Path
    paths: tuple[PathUpdate, ...]


@dataclass(frozen=True, slots=True)
class _IndexEntry:
    entry: Entry | None
    conflict: bool = False
    skipped: bool = False


class _NoFile:
    """Something that is neither a file nor absent, or lies behind a link."""


def plan_update(repo: Repository, root: Path, edits: Sequence[Edit]) -> WorktreeUpdate:
    """What a work tree needs to follow its branch; refused, with the paths, where any of them is edited."""
    index = _index_entries(repo, root, [edit.path for edit in edits])
    files = {edit.path: _content_of(root, edit.path) for edit in edits}
    hashes = hash_files(repo, root, [path for path, content in files.items() if isinstance(content, bytes)])
    updates, edited = [], []
    for edit in edits:
        entry = index.get(edit.path, _IndexEntry(None))
        update = _path_update(edit, entry, files[edit.path], hashes.get(edit.path))
        if update is None:
            edited.append(edit.path)
        else:
            updates.append(update)
    if edited:
        what = "the work tree holds other work in files this would change, so nothing was written"
        raise Refused(what, f"commit it or put it away first, in {root}", tuple(edited))
    return WorktreeUpdate(root, tuple(updates))


def _path_update(
    edit: Edit, index: _IndexEntry, content: bytes | _NoFile | None, oid: str | None
) -> PathUpdate | None:
    """The update of a path, None where index or work tree hold anything but the old or the new version."""
    if index.conflict or index.entry not in (edit.old, edit.new) or isinstance(content, _NoFile):
        return None
    # Links and submodules would need a checkout of their own kind; a recipe has none.
    if any(entry is not None and not entry.mode.startswith("100") for entry in (edit.old, edit.new)):
        return None
    old, new = (entry.oid if entry else None for entry in (edit.old, edit.new))
    # A sparse checkout leaves the file out on purpose; a missing file otherwise is one that someone deleted.
    absent_on_purpose = index.skipped and content is None
    if oid == new and not absent_on_purpose:
        return PathUpdate(edit, index.entry, content, write=False)
    if oid == old or absent_on_purpose:
        return PathUpdate(edit, index.entry, content, write=True)
    return None


def apply_update(repo: Repository, update: WorktreeUpdate) -> None:
    """Put the new bytes in place, then set exactly these index entries.

    Files come first: a run that is killed in between leaves a file that git calls new or changed, while an
    entry without its file would be a deletion that the next `git commit -a` carries out.
    """
    for path_update in update.paths:
        if path_update.write:
            _write_new(repo, update.root, path_update)
    set_index(repo, update.root, {one.edit.path: one.edit.new for one in update.paths})


def undo_update(repo: Repository, update: WorktreeUpdate, kept: Mapping[str, Entry | None]) -> None:
    """Take back what was applied, but for paths that the branch holds in their new version after all.

    Only what is still as it was put is taken back: what someone else wrote in the meantime is theirs.
    """
    back = [one for one in update.paths if kept.get(one.edit.path) != one.edit.new]
    index = _index_entries(repo, update.root, [one.edit.path for one in back])
    for one in back:
        file = update.root / one.edit.path
        if one.write and _content_of(update.root, one.edit.path) == _new_content(repo, one.edit):
            write_file(update.root, file, one.before, one.edit.old)
    entries = {
        one.edit.path: one.staged
        for one in back
        if index.get(one.edit.path, _IndexEntry(None)).entry == one.edit.new != one.staged
    }
    if entries:
        set_index(repo, update.root, entries)


def _index_entries(repo: Repository, root: Path, paths: Sequence[str]) -> dict[str, _IndexEntry]:
    entries: dict[str, _IndexEntry] = {}
    if not paths:
        return entries
    # -t marks with S what a sparse checkout skips; below a folder asked for, other paths are listed, too.
    for line in filter(None, repo.git("ls-files", "-s", "-t", "-z", "--", *paths, at=root).split(b"\0")):
        meta, path = line.split(b"\t", 1)
        tag, mode, oid, stage = meta.decode().split(" ")
        entries[as_path(path)] = _IndexEntry(Entry(mode, oid), stage != "0", tag == "S")
    return {path: entries[path] for path in paths if path in entries}


def _content_of(root: Path, path: str) -> bytes | _NoFile | None:
    """The bytes of a work-tree file, None where there is none."""
    folder = root
    # Through a folder that is a link, writing would end up outside of the work tree.
    for part in path.split("/")[:-1]:
        folder = folder / part
        if not os.path.lexists(folder):
            return None
        if not stat.S_ISDIR(folder.lstat().st_mode):
            return _NoFile()
    file = root / path
    if not os.path.lexists(file):
        return None
    return file.read_bytes() if stat.S_ISREG(file.lstat().st_mode) else _NoFile()


def _new_content(repo: Repository, edit: Edit) -> bytes | None:
    """The bytes of the new version as a checkout would write them: line ends and filters included."""
    if edit.new is None:
        return None
    return repo.git("cat-file", "--filters", f"--path={edit.path}", edit.new.oid)


def _write_new(repo: Repository, root: Path, update: PathUpdate) -> None:
    content = _new_content(repo, update.edit)
    # Looked at again at the last moment: an editor may have saved since the update was planned.
    if _content_of(root, update.edit.path) != update.before:
        raise Refused("a file was edited while this was at work", "try again", (update.edit.path,))
    write_file(root, root / update.edit.path, content, update.edit.new)


def write_file(root: Path, file: Path, content: bytes | None, entry: Entry | None) -> None:
    """Write beside and rename into place, or remove with the folders left empty."""
    if content is None:
        file.unlink(missing_ok=True)
        for folder in file.relative_to(root).parents[:-1]:
            with contextlib.suppress(OSError):  # not empty
                (root / folder).rmdir()
        return
    file.parent.mkdir(parents=True, exist_ok=True)
    # A name that is no recipe file, so that what a killed run leaves is never read or proposed as one.
    beside = file.with_name(f".recipe-track-{secrets.token_hex(6)}.tmp")
    mode = 0o777 if entry and entry.mode == "100755" else 0o666
    try:
        with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())  # else a power cut could leave the new name with nothing in it
        beside.replace(file)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise


def set_index(repo: Repository, root: Path, entries: Mapping[str, Entry | None]) -> None:
    """Set index entries, waiting a while for a git that holds the index.

    The entries are set to what the commit holds, by mode and id: `git add` would take what lies in the work
    tree at that moment, and could refuse it, or ignore it.
    """
    args = ("update-index", "-z", "--index-info")
    for _ in _retries():
        answer = repo.run(*args, stdin=index_info(repo, entries), at=root)
        if answer.status == 0:
            return
        if not says_lock_is_held(answer.err):
            raise failure(answer, args)
    raise Refused(
        f"git is at work in {root} (it holds index.lock), so nothing was written",
        "finish the commit that has an editor open; if no git is running, remove the lock file it names",
    )


def _retries() -> Iterator[None]:
    end = time.monotonic() + LOCK_SECONDS
    yield None
    while time.monotonic() < end:
        time.sleep(_PAUSE)
        yield None


def worktrees_on(repo: Repository, ref: str) -> tuple[Path, ...]:
    """The work trees, this one or linked ones, that have a branch checked out."""
    # Without -z, git before 2.36 lists a folder with a line end in its name over two lines.
    ends, end = (("-z",), b"\0") if repo.git_version >= (2, 36) else ((), b"\n")
    roots: list[Path] = []
    for block in repo.git("worktree", "list", "--porcelain", *ends).split(end * 2):
        lines = [os.fsdecode(line) for line in block.split(end)]
        folder = Path(lines[0].removeprefix("worktree "))
        if f"branch {ref}" not in lines or any(line.split(" ")[0] == "prunable" for line in lines):
            continue
        # On a drive that is not there now: moved without it, the branch would leave its work tree behind.
        if not folder.is_dir():
            raise Refused(
                f"{ref.removeprefix('refs/heads/')} is checked out in {folder}, which cannot be reached"
            )
        roots.append(folder)
    return tuple(roots)


def refuse_while_rebased(repo: Repository, ref: str) -> None:
    """Refuse while any work tree is rebasing a branch: the rebase would put the branch back at its end.

    HEAD is detached meanwhile, so no list of work trees names the branch; only these notes of git do.
    """
    for git_dir in (repo.common_dir, *(repo.common_dir / "worktrees").glob("*")):
        for note in ("rebase-merge/head-name", "rebase-apply/head-name", "rebase-merge/update-refs"):
            with contextlib.suppress(FileNotFoundError, NotADirectoryError):
                if ref in (git_dir / note).read_text("utf-8", "replace").splitlines():
                    name = ref.removeprefix("refs/heads/")
                    raise Refused(
                        f"{name} is being rebased, so nothing was written",
                        "finish it (`git rebase --continue`) first",
                    )
