"""The merge driver: three versions of a recipe file become one, or one with conflict markers."""

from pathlib import Path

from recipe_track.history.markers import join_with_markers
from recipe_track.textfiles.merge import fenced, is_mergeable, merge


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
