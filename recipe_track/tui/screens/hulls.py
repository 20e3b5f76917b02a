"""Hulls: built to what, weighed against computed, deviations, what stands open."""

from functools import partial
from typing import Any

from textual import on
from textual.app import ComposeResult
from textual.screen import Screen
from textual.widgets import Footer

from recipe_track.review.hull.overview import HullRow, hull_rows
from recipe_track.tui.content.hulls import COLUMNS, HullSight, fleet_list, hull_page, hull_sight
from recipe_track.tui.content.trouble import trouble_page
from recipe_track.tui.desk import WALKING_S, Answered, Desk, Looked, Troubled
from recipe_track.tui.session import Session
from recipe_track.tui.widgets.browser import Browser
from recipe_track.tui.widgets.nav import NavLine
from recipe_track.tui.widgets.rows import RowList
from recipe_track.workspace import Workspace


class HullsScreen(Screen[None]):
    """The fleet at a glance; the hull under the cursor as it was built."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.desk = Desk(self, session)
        self.shown: HullSight | None = None

    def compose(self) -> ComposeResult:
        """Hulls above, one in full below."""
        yield NavLine("hulls")
        yield Browser(COLUMNS, "no hulls yet")
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        """Ask, and keep looking."""
        self.query_one(Browser).rows.focus()
        self._ask()
        self.desk.watch()

    def _ask(self) -> None:
        self.query_one(NavLine).note("reading …")
        self.desk.ask("fleet", partial(_fleet, model=self.desk.session.model))

    @on(Looked)
    def look(self, message: Looked) -> None:
        """Main moved."""
        if self.desk.is_news(message):
            self._ask()

    @on(Answered)
    def answer(self, message: Answered) -> None:
        """The fleet, or one hull."""
        if not self.desk.counts(message):
            return
        if isinstance(message.value, HullSight):
            self.shown = message.value
            self.query_one(Browser).tell(hull_page(message.value))
        else:
            self._show(message.value)

    def _show(self, rows: Any) -> None:
        held = sum(bool(row.holds) for row in rows)
        note = f"{len(rows)} hull{'s' if len(rows) != 1 else ''}" + (f", {held} with a hold" if held else "")
        self.query_one(NavLine).note(note)
        self.query_one(Browser).show(fleet_list(rows))

    @on(Troubled)
    def trouble(self, message: Troubled) -> None:
        """Say what is wrong in place of the hull."""
        if self.desk.counts(message):
            self.query_one(NavLine).note("not readable")
            self.query_one(Browser).tell(trouble_page(message.error))

    @on(RowList.Highlighted)
    def detail(self, event: RowList.Highlighted) -> None:
        """Read the hull under the cursor."""
        self.desk.ask("hull", partial(hull_sight, number=event.key), WALKING_S)


def _fleet(ws: Workspace, model: str) -> tuple[HullRow, ...]:
    snapshot = ws.current()
    return hull_rows(snapshot, model) if model in snapshot.models else ()
