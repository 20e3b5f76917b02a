"""History: the revisions of the model or of one zone, their reasons, and the course of the figures."""

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer

from recipe_track.tui.background import Background, Resting
from recipe_track.tui.content.history import course_subject, zone_names
from recipe_track.tui.content.revisions import ComparisonRequested, RevisionPair
from recipe_track.tui.dialogs import ChoosingDialog
from recipe_track.tui.session import Session
from recipe_track.tui.widgets.listing import ListPane
from recipe_track.tui.widgets.rows import ListColumn, ListRow

_WHOLE = "whole craft"


class HistoryScreen(Resting, Screen[None]):
    """Enter shows in Compare what a revision did."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "compare", "what it did"),
        Binding("z", "zones", "zone or craft"),
    ]

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._model, self._zone = session.model, ""
        self.background = Background(self, session)
        self.pane = ListPane("history", course_subject(session.model, None), self.background)

    def compose(self) -> ComposeResult:
        """Plots on top, revisions below, the one under the cursor in full."""
        yield self.pane
        yield Footer(compact=True, show_command_palette=False)

    def action_compare(self) -> None:
        """What this revision did to the recipe before it."""
        course, entry = self.pane.whole, self.pane.item
        if entry is None or course is None or entry.revision.commit is None:
            return
        if entry is course.entries[-1] and course.zone is None:
            self.notify("This is the first revision: there is none before it.", markup=False)
        else:
            commit = entry.revision.commit
            pair = RevisionPair(f"{commit}^", commit)
            self.post_message(ComparisonRequested(pair, self._zone or None))

    def action_zones(self) -> None:
        """The course of one zone, or of the whole craft."""
        question = partial(zone_names, model=self._model)
        self.background.ask("zones", question, self._offer_zones, self.pane.show_error)

    def _offer_zones(self, names: list[str]) -> None:
        rows = [ListRow(name, (name,)) for name in (_WHOLE, *names)]
        dialog = ChoosingDialog("History of", (ListColumn("zone", 0),), rows, self._zone or _WHOLE)
        self.app.push_screen(dialog, self._choose_zone)

    def _choose_zone(self, chosen: str | None) -> None:
        if chosen is not None:
            self._zone = "" if chosen == _WHOLE else chosen
            self.pane.read_again(course_subject(self._model, self._zone or None))
