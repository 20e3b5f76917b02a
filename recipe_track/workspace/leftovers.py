"""Records that lie in a work tree and are on no commit: of a run that was stopped, or a draft of someone's.

A ghost of a decision would ride along with the next commit, and then stand beside the one made again.
"""

import re
import shlex
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from recipe_track.errors import InvalidRecipe
from recipe_track.history.leftovers import NewFile, new_files
from recipe_track.history.record_signatures import SUFFIX
from recipe_track.recipe.paths import RECORD_ID, file_at
from recipe_track.recipe.records import Change, Edit
from recipe_track.trail.texts import blob_id
from recipe_track.workspace.opening import Workspace

ROOTS = ("records", "hulls", "photos", "models", "materials")
_ATTACHED = re.compile(rf"photos/{RECORD_ID}/.+")
_TEMPORARY = re.compile(r"(.*/)?\.recipe-track-[0-9a-f]{12}\.tmp")


@dataclass(frozen=True, slots=True)
class Leftover:
    """A file that is on no commit, what it is, and how it is taken up or away."""

    path: str
    message: str
    remedy: str


def leftovers(ws: Workspace, *, staged_only: bool = False) -> tuple[Leftover, ...]:
    """What is left here of runs that were stopped, by path."""
    root = ws.repo.root
    if root is None:
        return ()
    try:
        branch = ws.main_branch
    except InvalidRecipe:  # the settings are told of elsewhere
        return ()
    lying = new_files(ws.repo, branch, ROOTS, staged_only=staged_only)
    ours = [file for file in lying if _is_ours(file.path)]
    told = [_told(file) for file in ours]
    told += [_edited(path, name) for file in ours for path, name in _edits_of(ws, file)]
    return tuple(next(same) for _, same in groupby(sorted(told, key=_path), key=_path))


def _path(one: Leftover) -> str:
    return one.path


def _is_ours(path: str) -> bool:
    file = file_at(path.removesuffix(SUFFIX))
    written = file is not None and file.kind in ("record", "hull")
    return written or bool(_ATTACHED.fullmatch(path) or _TEMPORARY.fullmatch(path))


def _told(file: NewFile) -> Leftover:
    name = shlex.quote(file.path)
    if _TEMPORARY.fullmatch(file.path):
        what = "a run that was stopped has left half a file"
        return Leftover(file.path, what, f"take it away: rm {name}")
    up = f"git add {name} && git commit -m TEXT -- {name}"
    away = f"git rm -f {name}" if file.staged else f"rm {name}"
    where = "staged, and the next commit takes it along" if file.staged else "not staged"
    return Leftover(
        file.path,
        f"it lies here and is not on main ({where}): a run that was stopped may have left it",
        f"take it up: {up}; or away: {away}",
    )


def _edits_of(ws: Workspace, file: NewFile) -> Iterator[tuple[str, str]]:
    """Files that are as a change left lying here would make them, with its id."""
    named = file_at(file.path)
    if named is None or named.kind != "record" or not named.id.startswith("C-"):
        return
    text = _lying(ws, file.path)
    change = ws.read_file(file.path, text) if text is not None else None
    if isinstance(change, Change):
        yield from ((edit.path, named.id) for edit in change.edit if _is_after(_lying(ws, edit.path), edit))


def _lying(ws: Workspace, path: str) -> bytes | None:
    """The bytes of a file of the work tree; None where there is none."""
    place = ws.repo.place / path
    return place.read_bytes() if place.is_file() and not place.is_symlink() else None


def _is_after(text: bytes | None, edit: Edit) -> bool:
    """Whether a file is as an edit leaves it, line ends aside."""
    if text is None:
        return edit.after == ""
    return edit.after in (blob_id(text, edit.after), blob_id(text.replace(b"\r\n", b"\n"), edit.after))


def _edited(path: str, change: str) -> Leftover:
    return Leftover(
        path,
        f"it is as {change}, which lies here and is not on main, would have it",
        f"it goes with {change}: up with git commit, or away with git restore --staged --worktree {path}",
    )


def note_lines(left: Sequence[Leftover]) -> tuple[str, ...]:
    """Leftovers as lines beside an answer."""
    return tuple(f"note: {one.path}: {one.message}; {one.remedy}" for one in left)
