"""Work trees that follow a branch: brought along path by path, or refused.

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
from dataclasses import dataclass, field
from pathlib import Path

from recipe_track.errors import Refused, RepositoryError
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


@dataclass(slots=True)
class Placing:
    """An update that is being carried out, and how far it has come: what this process did and nobody else."""

    update: WorktreeUpdate
    written: list[PathUpdate] = field(default_factory=list)
    staged: bool = False


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


def apply_update(repo: Repository, placing: Placing) -> None:
    """Put the new bytes in place, then set exactly these index entries.

    Files come first: a run that is killed in between leaves a file that git calls new or changed, while an
    entry without its file would be a deletion that the next `git commit -a` carries out. Last in the order of
    paths comes first, records before the models they are about: what is left then says what it belongs to.
    """
    update = placing.update
    for one in sorted(update.paths, key=lambda one: one.edit.path, reverse=True):
        if one.write:
            _write_new(repo, placing, one)
    placing.staged = True
    set_index(repo, update.root, {one.edit.path: one.edit.new for one in update.paths})


def undo_update(repo: Repository, placing: Placing, kept: Mapping[str, Entry | None]) -> None:
    """Take back what was placed, but for paths that the branch holds in their new version after all.

    Only what this process placed and is still as it placed it: all else is someone else's.
    """
    root = placing.update.root
    back = [one for one in placing.update.paths if kept.get(one.edit.path) != one.edit.new]
    for one in placing.written:
        if one in back and _content_of(root, one.edit.path) == _new_content(repo, one.edit):
            write_file(root, root / one.edit.path, one.before, one.edit.old)
    index = _index_entries(repo, root, [one.edit.path for one in back]) if placing.staged else {}
    entries = {
        one.edit.path: one.staged
        for one in back
        if index.get(one.edit.path, _IndexEntry(None)).entry == one.edit.new != one.staged
    }
    if placing.staged and entries:
        set_index(repo, root, entries)


def not_as_meant(repo: Repository, update: WorktreeUpdate) -> list[str]:
    """The paths that index or work tree hold otherwise than the branch does by now, with where it is so."""
    index = _index_entries(repo, update.root, [one.edit.path for one in update.paths])
    told: list[str] = []
    for one in update.paths:
        path = one.edit.path
        entry = index.get(path, _IndexEntry(None))
        if entry.entry != one.edit.new or entry.conflict:
            told.append(f"{path} in the index")
        if not entry.skipped and _content_of(update.root, path) != _new_content(repo, one.edit):
            told.append(f"{path} in the work tree")
    return told


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


def _write_new(repo: Repository, placing: Placing, update: PathUpdate) -> None:
    root = placing.update.root
    content = _new_content(repo, update.edit)
    # Looked at again at the last moment: an editor may have saved since the update was planned.
    if _content_of(root, update.edit.path) != update.before:
        raise Refused("a file was edited while this was at work", "try again", (update.edit.path,))
    placing.written.append(update)  # before it is done: Ctrl-C may come between the two
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
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise RepositoryError(
            f"{file} cannot be written: {error.strerror}, so nothing was written"
        ) from error
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
