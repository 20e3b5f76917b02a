"""What this clone remembers and main no longer holds: a notice of the clone, not a finding."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.history.seen import SEEN, is_behind_seen, seen_tip
from recipe_track.recipe.paths import record_at
from recipe_track.workspace.leftovers import leftovers

if TYPE_CHECKING:
    from recipe_track.workspace import Workspace


@dataclass(frozen=True, slots=True)
class Notice:
    """Something about this clone alone, which main does not show."""

    rule: str
    subject: str
    message: str
    remedy: str


def notices_of(ws: Workspace) -> tuple[Notice, ...]:
    """What this clone knows beside main: records that main held and holds no more, or that lie here alone."""
    left = (Notice("left-lying", one.path, one.message, one.remedy) for one in leftovers(ws))
    return (*_no_longer(ws), *left)


def _no_longer(ws: Workspace) -> tuple[Notice, ...]:
    """Records that main held at the last audit of its tip, and holds no more; being behind is none."""
    seen = seen_tip(ws.repo)
    if seen is None or seen == ws.tip() or is_behind_seen(ws.repo, ws.tip(), seen):
        return ()
    now = ws.files_at(ws.tip())
    then = ws.files_at(seen)
    gone = sorted(path for path in then if record_at(path) and path not in now)
    return tuple(
        Notice(
            "no-longer-on-main", str(record_at(path)),
            f"{ws.main_branch} held {path} at the last audit here ({seen[:10]}), and holds it no more",
            f"if that was not meant: git branch rescued {seen[:10]}; if it was: git update-ref -d {SEEN}",
        )
        for path in gone
    )  # fmt: skip
