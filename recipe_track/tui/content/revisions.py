"""Two revisions to compare: chosen from rows, named over their stacks, asked for by another screen."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from textual.message import Message

from recipe_track.present.words.figures import day_words
from recipe_track.present.words.plain import shortened
from recipe_track.review.change.comparison import Comparison
from recipe_track.review.past.choices import RevisionChoice
from recipe_track.tui.widgets.rows import ListColumn, ListRow
from recipe_track.workspace import WORKING, Revision

CHOICE_COLUMNS = (ListColumn("", 10), ListColumn("date", 11), ListColumn("", 7), ListColumn("reason", 0))
_CHANGE = re.compile(r"(?:^|/)change/(C-[^/]+)$")
_COMMIT = re.compile(r"[0-9a-f]{7,64}\^?")


@dataclass(frozen=True, slots=True)
class RevisionPair:
    """Two revisions as typed; None stands for the last release before, the working files after."""

    before: str | None
    after: str | None

    def typed(self, side: str, shown: Comparison | None) -> str | None:
        """What names a side; once it is shown, a side nobody typed has a name too."""
        return (self.before if side == "before" else self.after) or shown_commit(side, shown)

    def exchanged(self, shown: Comparison | None) -> "RevisionPair":
        """After becomes before, and before after."""
        return RevisionPair(self.typed("after", shown), self.typed("before", shown))

    def with_side(self, side: str, chosen: str, shown: Comparison | None) -> "RevisionPair":
        """One side chosen anew, the other as it is."""
        if side == "before":
            return RevisionPair(chosen, self.typed("after", shown))
        return RevisionPair(self.typed("before", shown), chosen)

    def heads(self, shown: Comparison) -> tuple[str, str]:
        """How the two are called over their stacks."""
        return _head(shown.before.revision, self.before), _head(shown.after.revision, self.after)


class ComparisonRequested(Message):
    """Another screen asks to see two revisions in Compare, and which zone first."""

    def __init__(self, pair: RevisionPair, zone: str | None = None) -> None:
        super().__init__()
        self.pair, self.zone = pair, zone


def shown_pair(shown: Comparison) -> RevisionPair:
    """The two revisions that are shown."""
    return RevisionPair(shown_commit("before", shown), shown_commit("after", shown))


def shown_commit(side: str, shown: Comparison | None) -> str | None:
    """The commit that a side shows, `working` for the working files."""
    if shown is None:
        return None
    return (shown.before if side == "before" else shown.after).revision.commit or WORKING


def chosen_now(choices: Sequence[RevisionChoice], side: str, shown: Comparison | None) -> str | None:
    """The choice that a side shows; of a commit between two revisions, the one whose label it has."""
    commit = shown_commit(side, shown)
    if shown is None or any(choice.text == commit for choice in choices):
        return commit
    label = (shown.before if side == "before" else shown.after).revision.label
    return next((choice.text for choice in choices if label and choice.shown == label), commit)


def _head(revision: Revision, typed: str | None) -> str:
    """`r4  8 Oct 2025`; off main the change or the name that was typed, else a short commit id."""
    if revision.commit is None:
        return "working files"
    name = revision.label or _name_of(typed or "") or revision.shown
    return f"{name}  {day_words(revision.date)}"


def _name_of(typed: str) -> str | None:
    change = _CHANGE.search(typed)
    if change:
        return change[1]
    return None if _COMMIT.fullmatch(typed) else typed or None


def choice_rows(choices: Iterable[RevisionChoice]) -> list[ListRow]:
    """One row per revision to choose from; a release says so."""
    return [_choice_row(choice) for choice in choices]


def _choice_row(choice: RevisionChoice) -> ListRow:
    kind = "release" if choice.released else ""
    cells = (choice.shown, day_words(choice.date), kind, shortened(choice.words, 300))
    return ListRow(choice.text, cells, "strong" if choice.released else "")
