"""Trials: what was observed, worst first; log an observation, decide on one."""

from datetime import date
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer

from recipe_track.errors import CallError, TrackError
from recipe_track.procedures.trials import decide_trial, log_trial
from recipe_track.procedures.writing import Done
from recipe_track.recipe.records import SAME_AS
from recipe_track.review.hull.zones import zones_of_hull
from recipe_track.tui.background import Background, Resting
from recipe_track.tui.content.trials import (
    HULL_CHOICE_COLUMNS,
    decision_fields,
    entry_of,
    hull_choices,
    log_fields,
    trial_subject,
)
from recipe_track.tui.dialogs import ChoosingDialog
from recipe_track.tui.forms import Form, Forms, FormValues
from recipe_track.tui.session import Session
from recipe_track.tui.widgets.listing import ListPane
from recipe_track.tui.widgets.rows import ListColumn, ListRow
from recipe_track.workspace import Workspace


class TrialsScreen(Resting, Screen[None]):
    """Writes only what a form was filled in with, one commit each."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "log", "log a trial"),
        Binding("d", "decide", "decide"),
        Binding("o", "open_only", "open or all"),
    ]

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._model, self._only_open = session.model, True
        self.background = Background(self, session)
        self.pane = ListPane("trials", trial_subject(self._model, self._only_open), self.background)
        self._forms = Forms(self, self.background, self.pane.read_again)

    def compose(self) -> ComposeResult:
        """Observations above, the one under the cursor in full below."""
        yield self.pane
        yield Footer(compact=True, show_command_palette=False)

    def action_open_only(self) -> None:
        """What stands open, or every observation."""
        self._only_open = not self._only_open
        self.pane.show_as(trial_subject(self._model, self._only_open))

    def action_log(self) -> None:
        """Log an observation: on which hull, in which of its zones, then the form."""
        if self.pane.whole is not None:
            rows = hull_choices(self.pane.whole, self._model)
            dialog = ChoosingDialog("Observed on hull", HULL_CHOICE_COLUMNS, rows)
            self.app.push_screen(dialog, self._ask_zones)

    def _ask_zones(self, hull: str | None) -> None:
        if hull is not None:
            question, offer = partial(_zones, number=hull), partial(self._offer_zones, hull)
            self.background.ask("zones", question, offer, self.pane.show_error)

    def _offer_zones(self, hull: str, zones: tuple[str, ...]) -> None:
        rows = [ListRow(zone, (zone,)) for zone in zones]
        dialog = ChoosingDialog(f"Zone of hull {hull}", (ListColumn("zone", 0),), rows)
        self.app.push_screen(dialog, partial(self._open_log, hull))

    def _open_log(self, hull: str, zone: str | None) -> None:
        if zone is not None:
            title = f"Observation at {zone}, hull {hull}"
            fields, act = partial(log_fields, today=date.today()), partial(_log, hull=hull, zone=zone)
            self._forms.open(Form(("log", hull), title, "Log it", fields, act))

    def action_decide(self) -> None:
        """Contain or close the observation under the cursor."""
        row = self.pane.item
        if row is not None:
            title = f"Decide {row.id}: {row.trial.observation} at {row.zone_now}, hull {row.trial.hull}"
            act = partial(_decide, trial=row.id)
            self._forms.open(Form(("decide", row.id), title, "Decide", decision_fields, act))


def _zones(ws: Workspace, number: str) -> tuple[str, ...]:
    snapshot = ws.current()
    if number not in snapshot.hulls:
        raise TrackError(f"there is no hull {number} any more")
    return zones_of_hull(ws, snapshot, number)


def _log(ws: Workspace, values: FormValues, hull: str, zone: str) -> Done:
    return log_trial(ws, entry_of(hull, zone, values))


def _decide(ws: Workspace, values: FormValues, trial: str) -> Done:
    if not values["decision"]:
        raise CallError("nothing is decided yet", "choose a decision")
    same_as = values["same_as"] or None
    if (values["decision"] == SAME_AS) != (same_as is not None):
        raise CallError("`same as` names an observation where that is the decision, and only there")
    return decide_trial(ws, trial, values["decision"], values["note"], date.today(), same_as=same_as)
