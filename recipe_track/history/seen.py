"""What this clone saw of main at its last audit: a ref of the program's own, moved only forward."""

from recipe_track.history.refs import is_ancestor
from recipe_track.history.repository import Repository

SEEN = "refs/recipe-track/seen"


def seen_tip(repo: Repository) -> str | None:
    """Main's tip at the last audit here; None where there was none, or its commit is gone."""
    out = repo.git("rev-parse", "--verify", "--quiet", f"{SEEN}^{{commit}}", ok=(0, 1, 128))
    return out.decode().strip() or None


def is_behind_seen(repo: Repository, tip: str, seen: str) -> bool:
    """Whether a tip only lacks what came after it: this clone is behind."""
    return is_ancestor(repo, tip, seen)


def note_seen(repo: Repository, tip: str) -> None:
    """Remember a tip that contains what was seen before; nothing where the repository cannot be written."""
    seen = seen_tip(repo)
    if seen == tip or (seen is not None and not is_ancestor(repo, seen, tip)):
        return
    # A clone that may only be read is audited all the same: git's answer is not looked at.
    repo.run("update-ref", SEEN, tip, seen or "0" * len(tip))
