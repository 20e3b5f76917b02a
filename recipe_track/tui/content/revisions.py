"""The revisions to choose from, as rows."""

import re
from collections.abc import Iterable

from recipe_track.present.words.figures import day_words
from recipe_track.present.words.plain import shortened
from recipe_track.review.past.course import RevisionChoice
from recipe_track.tui.widgets.rows import Column, ListRow
from recipe_track.workspace import Revision

_CHANGE = re.compile(r"(?:^|/)change/(C-[^/]+)$")
_COMMIT = re.compile(r"[0-9a-f]{7,64}\^?")
COLUMNS = (Column("", 10), Column("date", 11), Column("", 7), Column("reason", 0))


def revision_rows(choices: Iterable[RevisionChoice]) -> list[ListRow]:
    """One row per revision; a release says so."""
    return [_row(choice) for choice in choices]


def head_of(revision: Revision, typed: str | None) -> str:
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


def _row(choice: RevisionChoice) -> ListRow:
    kind = "release" if choice.released else ""
    cells = (choice.shown, day_words(choice.date), kind, shortened(choice.words, 300))
    return ListRow(choice.text, cells, "strong" if choice.released else "")
