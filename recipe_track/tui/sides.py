"""Which two revisions are compared: as they were typed, and what they turned out to be."""

from dataclasses import dataclass

from recipe_track.review.change.comparison import Comparison
from recipe_track.tui.content.revisions import head_of
from recipe_track.workspace import WORKING, Revision


@dataclass(frozen=True, slots=True)
class Sides:
    """Two revisions as typed; None stands for the last release before, the working files after."""

    before: str | None
    after: str | None

    def typed(self, side: str, shown: Comparison | None) -> str | None:
        """What names a side; once it is shown, a side nobody typed has a name too."""
        return (self.before if side == "before" else self.after) or commit_of(side, shown)

    def exchanged(self, shown: Comparison | None) -> "Sides":
        """After becomes before, and before after."""
        return Sides(self.typed("after", shown), self.typed("before", shown))

    def choosing(self, side: str, chosen: str, shown: Comparison | None) -> "Sides":
        """One side chosen anew, the other as it is."""
        if side == "before":
            return Sides(chosen, self.typed("after", shown))
        return Sides(self.typed("before", shown), chosen)

    def heads(self, shown: Comparison) -> tuple[str, str]:
        """How the two are called over their stacks."""
        return head_of(shown.before.revision, self.before), head_of(shown.after.revision, self.after)


def commit_of(side: str, shown: Comparison | None) -> str | None:
    """The commit that a side shows, `working` for the working files."""
    if shown is None:
        return None
    return _text((shown.before if side == "before" else shown.after).revision)


def shown_sides(shown: Comparison) -> Sides:
    """The two revisions that are shown."""
    return Sides(_text(shown.before.revision), _text(shown.after.revision))


def _text(revision: Revision) -> str:
    return revision.commit or WORKING
