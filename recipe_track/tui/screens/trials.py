"""Trials: what was observed, worst first; log an observation, decide on one."""

from collections.abc import Mapping
from datetime import date
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer

from recipe_track.errors import CallError, TrackError
from recipe_track.procedures.trials import decide_trial, log_trial
from recipe_track.procedures.writing import Done
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.hull.overview import TrialRow, trial_rows
from recipe_track.review.hull.zones import zones_of_hull
from recipe_track.tui.content.trials import (
    COLUMNS,
    decision_fields,
    entry_of,
    log_fields,
    trial_list,
    trial_page,
)
from recipe_track.tui.content.trouble import trouble_page, trouble_words
from recipe_track.tui.desk import Answered, Desk, Looked, Troubled
from recipe_track.tui.dialogs.choosing import ChoosingDialog
from recipe_track.tui.dialogs.form import FormDialog
from recipe_track.tui.session import Session
from recipe_track.tui.widgets.browser import Browser
from recipe_track.tui.widgets.nav import NavLine
from recipe_track.tui.widgets.rows import Column, ListRow, RowList
from recipe_track.workspace import Workspace

HULL_COLUMNS = (Column("hull", 10), Column("status", 0))
Filled = Mapping[str, str]


class TrialsScreen(Screen[None]):
    """Writes only what a form was filled in with, one commit each."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "log", "log a trial"),
        Binding("d", "decide", "decide"),
        Binding("o", "open_only", "open or all"),
    ]

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.desk = Desk(self, session)
        self.rows: tuple[TrialRow, ...] = ()
        self._snapshot: Snapshot | None = None
        self._only_open = True
        self._hull = self._zone = ""
        self._filled: Filled = {}

    def compose(self) -> ComposeResult:
        """Observations above, the one under the cursor in full below."""
        yield NavLine("trials")
        yield Browser(COLUMNS, "nothing stands open")
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        """Ask, and keep looking."""
        self.query_one(Browser).rows.focus()
        self._ask()
        self.desk.watch()

    def _ask(self) -> None:
        self.query_one(NavLine).note("reading …")
        self.desk.ask("trials", Workspace.current)

    @on(Looked)
    def look(self, message: Looked) -> None:
        """Main moved."""
        if self.desk.is_news(message):
            self._ask()

    @on(Answered)
    def answer(self, message: Answered) -> None:
        """Records, the zones of a hull, or what was written."""
        if not self.desk.counts(message):
            return
        if isinstance(message.value, Snapshot):
            self._snapshot = message.value
            self._show()
        elif isinstance(message.value, Done):
            self._filled = {}
            self.notify("\n".join(message.value.said), markup=False)
            self._ask()
        elif isinstance(message.value, tuple):
            self._offer_zones(message.value)

    @on(Troubled)
    def trouble(self, message: Troubled) -> None:
        """A refused form comes back with what was typed; anything else is said below."""
        if not self.desk.counts(message):
            return
        if message.topic == "log":
            self._open_log(trouble_words(message.error))
        elif message.topic == "decide":
            self._open_decision(trouble_words(message.error))
        else:
            self.query_one(NavLine).note("not readable")
            self.query_one(Browser).tell(trouble_page(message.error))

    def _show(self) -> None:
        if self._snapshot is None:
            return
        self.rows = self._of_model(self._snapshot)
        what = "open" if self._only_open else "in all"
        self.query_one(NavLine).note(f"{len(self.rows)} {what}, worst first")
        self.query_one(Browser).show(trial_list(self.rows))

    def _of_model(self, snapshot: Snapshot) -> tuple[TrialRow, ...]:
        """Observations on hulls of this model."""
        hulls = {n for n, hull in snapshot.hulls.items() if hull.model == self.desk.session.model}
        found = trial_rows(snapshot, only_open=self._only_open)
        return tuple(row for row in found if row.trial.hull in hulls)

    def _row(self) -> TrialRow | None:
        key = self.query_one(Browser).rows.key
        return next((row for row in self.rows if row.id == key), None)

    @on(RowList.Highlighted)
    def detail(self, event: RowList.Highlighted) -> None:
        """The observation under the cursor."""
        row = self._row()
        if row is not None:
            self.query_one(Browser).tell(trial_page(row))

    def action_open_only(self) -> None:
        """What stands open, or every observation."""
        self._only_open = not self._only_open
        self._show()

    # logging: hull, then one of its zones, then the form

    def action_log(self) -> None:
        """Log an observation against a hull and one of the zones it was built with."""
        if self._snapshot is not None:
            hulls = sorted(self._snapshot.hulls.items())
            rows = [
                ListRow(number, (number, hull.status))
                for number, hull in hulls
                if hull.model == self.desk.session.model
            ]
            self.app.push_screen(ChoosingDialog("Observed on hull", HULL_COLUMNS, rows), self._hull_chosen)

    def _hull_chosen(self, hull: str | None) -> None:
        if hull is not None:
            self._hull = hull
            self.desk.ask("zones", partial(_zones, number=hull))

    def _offer_zones(self, zones: tuple[str, ...]) -> None:
        rows = [ListRow(zone, (zone,)) for zone in zones]
        dialog = ChoosingDialog(f"Zone of hull {self._hull}", (Column("zone", 0),), rows)
        self.app.push_screen(dialog, self._zone_chosen)

    def _zone_chosen(self, zone: str | None) -> None:
        if zone is not None:
            self._zone = zone
            self._open_log()

    def _open_log(self, refused: str = "") -> None:
        title = f"Observation at {self._zone}, hull {self._hull}"
        fields = log_fields(self._filled, date.today())
        self.app.push_screen(FormDialog(title, fields, "Log it", refused), self._log)

    def _log(self, filled: Filled | None) -> None:
        if filled is None:
            return
        self._filled = filled
        try:
            entry = entry_of(self._hull, self._zone, filled)
        except CallError as error:
            self._open_log(trouble_words(error))
        else:
            self.desk.ask("log", partial(log_trial, entry=entry))

    # deciding

    def action_decide(self) -> None:
        """Contain or close the observation under the cursor."""
        self._open_decision()

    def _open_decision(self, refused: str = "") -> None:
        row = self._row()
        if row is not None:
            title = f"Decide {row.id}: {row.trial.observation} at {row.zone_now}, hull {row.trial.hull}"
            dialog = FormDialog(title, decision_fields(self._filled), "Decide", refused)
            self.app.push_screen(dialog, partial(self._decide, row.id))

    def _decide(self, trial: str, filled: Filled | None) -> None:
        if filled is not None:
            self._filled = filled
            self.desk.ask("decide", partial(_decision, trial=trial, filled=filled))


def _zones(ws: Workspace, number: str) -> tuple[str, ...]:
    snapshot = ws.current()
    hull = snapshot.hulls.get(number)
    if hull is None:
        raise TrackError(f"there is no hull {number} any more")
    return zones_of_hull(ws, snapshot, hull)


def _decision(ws: Workspace, trial: str, filled: Filled) -> Done:
    return decide_trial(ws, trial, filled["decision"], filled["note"], date.today())
