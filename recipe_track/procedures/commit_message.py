"""What a commit message lacks that the history of a recipe needs."""

from pathlib import Path

from recipe_track.history.pending import is_merging, message_trailers, staged_edits
from recipe_track.workspace import Workspace


def missing_trailers(ws: Workspace, message: Path) -> tuple[str, ...]:
    """Trailers that the commit being made should carry and does not; a merge brings commits that have them.

    The first issue of a model needs a reason only.
    """
    edits = staged_edits(ws.repo)
    if not edits or is_merging(ws.repo):
        return ()
    first_issue = any(
        letter == "A" and path.startswith("models/") and path.endswith("/model.toml")
        for letter, path in edits
    )
    given = message_trailers(ws.repo, message.read_bytes())
    wanted = ("Reason",) if first_issue else ("Reason", "Change")
    return tuple(key for key in wanted if not given.get(key.lower()))
