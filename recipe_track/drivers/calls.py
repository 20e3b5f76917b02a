"""What git calls while it merges or commits: three versions of a file joined, a message looked over."""

from pathlib import Path

from recipe_track.history.merges import join_with_markers
from recipe_track.history.staging import is_merging, message_trailers, staged_edits
from recipe_track.recipe.paths import kind_of_path
from recipe_track.textfiles.writing.merge import fenced, is_mergeable, merge
from recipe_track.workspace import Workspace


def missing_trailers(ws: Workspace, message: Path) -> tuple[str, ...]:
    """Trailers that the commit being made should carry and does not; a merge brings commits that have them.

    The first issue of a model needs a reason only.
    """
    edits = staged_edits(ws.repo)
    if not edits or is_merging(ws.repo):
        return ()
    first_issue = any(letter == "A" and kind_of_path(path) == "model" for letter, path in edits)
    given = message_trailers(ws.repo, message.read_bytes())
    wanted = ("Reason",) if first_issue else ("Reason", "Change")
    return tuple(key for key in wanted if not given.get(key.lower()))


def merge_files(path: str, base: Path, ours: Path, theirs: Path, marker_size: int) -> bool:
    """Merge into the file of ours; whether nobody has to choose. No content is lost either way.

    Git's own merge is written first: whatever happens afterwards, the file holds both sides.
    """
    versions = (base.read_bytes(), ours.read_bytes(), theirs.read_bytes())
    git_is_content = join_with_markers(base, ours, theirs, marker_size)
    if not is_mergeable(path, *versions):
        return git_is_content
    joined = merge(path, *versions)
    if joined is not None:
        ours.write_bytes(joined)
    elif git_is_content:  # lines that git joins, but not to what both sides meant
        ours.write_bytes(fenced(*versions[1:], marker_size))
    return joined is not None
