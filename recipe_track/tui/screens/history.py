"""History: the revisions of the model or of one zone, their reasons, and the course of the figures."""

from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer, Static

from recipe_track.present.terminal.history import SHALLOW
from recipe_track.review.past.course import Course, CourseEntry, course_of
from recipe_track.tui.content.history import COLUMNS, history_rows, plots, revision_page
from recipe_track.tui.content.trouble import trouble_page
from recipe_track.tui.desk import Answered, Desk, Looked, Troubled
from recipe_track.tui.dialogs.choosing import ChoosingDialog
from recipe_track.tui.requests import CompareWanted
from recipe_track.tui.session import Session
from recipe_track.tui.widgets.browser import Browser
from recipe_track.tui.widgets.nav import NavLine
from recipe_track.tui.widgets.rows import Column, ListRow, RowList
from recipe_track.workspace import Workspace

WHOLE = "whole craft"


class HistoryScreen(Screen[None]):
    """Enter shows in Compare what a revision did."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "compare", "what it did"),
        Binding("z", "zones", "zone or craft"),
    ]

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.desk = Desk(self, session)
        self.course: Course | None = None
        self._zone: str | None = None

    def compose(self) -> ComposeResult:
        """Plots on top, revisions below, the one under the cursor in full."""
        yield NavLine("history")
        yield Static(id="plots", markup=False)
        yield Browser(COLUMNS, "no revisions yet")
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        """Ask, and keep looking."""
        self.query_one(Browser).rows.focus()
        self._ask()
        self.desk.watch()

    def _ask(self) -> None:
        self.query_one(NavLine).note("reading …")
        self.desk.ask("course", partial(course_of, model=self.desk.session.model, zone=self._zone))

    @on(Looked)
    def look(self, message: Looked) -> None:
        """Branches or tags moved."""
        if self.desk.is_news(message):
            self._ask()

    @on(Answered)
    def answer(self, message: Answered) -> None:
        """A course, or the zones there are to choose from."""
        if self.desk.counts(message):
            if isinstance(message.value, Course):
                self._show(message.value)
            elif isinstance(message.value, list):
                self._offer(message.value)

    @on(Troubled)
    def trouble(self, message: Troubled) -> None:
        """Say what is wrong in place of a revision."""
        if self.desk.counts(message):
            self.query_one(NavLine).note("not readable")
            self.query_one(Browser).tell(trouble_page(message.error))

    def _show(self, course: Course) -> None:
        self.course = course
        many = len(course.entries)
        note = f"{many} revision{'s' if many != 1 else ''} of {course.zone or course.model}"
        self.query_one(NavLine).note(note)
        self.query_one(Browser).show(history_rows(course))
        self._plot()
        if not course.complete:
            self.notify(SHALLOW, severity="warning", markup=False)

    def _plot(self) -> None:
        if self.course is not None and self.course.entries:
            key = self.query_one(Browser).rows.key
            self.query_one("#plots", Static).update(plots(self.course, key, self.size.width - 2))

    def on_resize(self, event: events.Resize) -> None:
        """Plots use the width there is."""
        self._plot()

    def _entry(self) -> CourseEntry | None:
        key = self.query_one(Browser).rows.key
        entries = self.course.entries if self.course else ()
        return next((e for e in entries if e.revision.commit == key), None)

    @on(RowList.Highlighted)
    def detail(self, event: RowList.Highlighted) -> None:
        """The revision under the cursor."""
        entry = self._entry()
        if entry is not None:
            self.query_one(Browser).tell(revision_page(entry))
            self._plot()

    def action_compare(self) -> None:
        """What this revision did to the recipe before it."""
        entry = self._entry()
        if entry is None or self.course is None or entry.revision.commit is None:
            return
        if entry is self.course.entries[-1] and self.course.zone is None:
            self.notify("This is the first revision: there is none before it.", markup=False)
        else:
            commit = entry.revision.commit
            self.post_message(CompareWanted(f"{commit}^", commit, self._zone))

    def action_zones(self) -> None:
        """The course of one zone, or of the whole craft."""
        self.desk.ask("zones", partial(_zone_names, model=self.desk.session.model))

    def _offer(self, names: list[str]) -> None:
        rows = [ListRow(name, (name,)) for name in (WHOLE, *names)]
        dialog = ChoosingDialog("History of", (Column("zone", 0),), rows, self._zone or WHOLE)
        self.app.push_screen(dialog, self._choose)

    def _choose(self, chosen: str | None) -> None:
        if chosen is not None:
            self._zone = None if chosen == WHOLE else chosen
            self._ask()


def _zone_names(ws: Workspace, model: str) -> list[str]:
    tree = ws.current().models.get(model)
    return sorted(tree.zones) if tree else []
