"""The revisions to choose from, as rows."""

from collections.abc import Iterable

from recipe_track.present.figures import day_words
from recipe_track.present.plain import shortened
from recipe_track.procedures.choices import RevisionChoice
from recipe_track.tui.widgets.rows import Column, ListRow

COLUMNS = (Column("", 10), Column("date", 11), Column("", 7), Column("reason", 0))


def revision_rows(choices: Iterable[RevisionChoice]) -> list[ListRow]:
    """One row per revision; a release says so."""
    return [_row(choice) for choice in choices]


def _row(choice: RevisionChoice) -> ListRow:
    kind = "release" if choice.released else ""
    cells = (choice.shown, day_words(choice.date), kind, shortened(choice.words, 300))
    return ListRow(choice.text, cells, "strong" if choice.released else "")
