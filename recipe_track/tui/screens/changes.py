"""Changes: what waits for a decision; open one in Compare, approve it, reject it."""

from datetime import date
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer

from recipe_track.errors import Refused, TrackError
from recipe_track.history.refs import merge_base
from recipe_track.procedures.deciding import DecisionEntry, Reverified, approve_change, reject_change
from recipe_track.procedures.writing import Done
from recipe_track.review.change.register import ChangeRow, proposal_named
from recipe_track.tui.background import Background, Resting
from recipe_track.tui.content.changes import approve_fields, change_subject, reject_fields
from recipe_track.tui.content.revisions import ComparisonRequested, RevisionPair
from recipe_track.tui.forms import Form, Forms, FormValues
from recipe_track.tui.session import Session
from recipe_track.tui.text import error_sentence
from recipe_track.tui.widgets.listing import ListPane
from recipe_track.workspace import Workspace


class ChangesScreen(Resting, Screen[None]):
    """Writes only what a form was filled in with, one commit each."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "compare", "open in Compare"),
        Binding("a", "decide('approve')", "approve"),
        Binding("r", "decide('reject')", "reject"),
    ]

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.background = Background(self, session)
        self.pane = ListPane("changes", change_subject(session.model), self.background)
        self._forms = Forms(self, self.background, self.pane.read_again)

    def compose(self) -> ComposeResult:
        """Changes above, the one under the cursor in full below."""
        yield self.pane
        yield Footer(compact=True, show_command_palette=False)

    def action_compare(self) -> None:
        """Show in Compare what the change does."""
        row = self.pane.item
        if row is not None:
            self.background.ask("pair", partial(_pair, row=row), self._request, self._show_refused)

    def _request(self, pair: RevisionPair) -> None:
        self.post_message(ComparisonRequested(pair))

    def _show_refused(self, error: TrackError) -> None:
        self.notify(error_sentence(error), severity="error", markup=False)

    def action_decide(self, what: str) -> None:
        """Approve or reject what waits under the cursor."""
        row = self.pane.item
        if row is not None and row.state != "proposed":
            self.notify(f"{row.id} is {row.state}: there is nothing to decide.", markup=False)
        elif row is not None:
            self._forms.open(_decision_form(what, row))


def _decision_form(what: str, row: ChangeRow) -> Form:
    verb = what.capitalize()
    fields, act = (approve_fields, _approve) if what == "approve" else (reject_fields, _reject)
    title = f"{verb} {row.id}: {row.change.title}"
    return Form((what, row.id), title, verb, fields, partial(act, change=row.id))


def _pair(ws: Workspace, row: ChangeRow) -> RevisionPair:
    """The commits that a change leads from and to."""
    if row.landed is not None:
        before = next(iter(row.landed.first.parents), None)
        if before is None:
            raise Refused(f"{row.id} began the model: there is nothing before it")
        return RevisionPair(before, row.landed.last.id)
    if row.state != "proposed":
        raise Refused(f"{row.id} changed no recipe file")
    branch = proposal_named(ws, ws.current(), row.id).branch
    base = merge_base(ws.repo, ws.tip(), branch.commit)
    if base is None:
        raise Refused(f"{row.id} shares no history with {ws.main_branch}")
    return RevisionPair(base, branch.ref)


def _approve(ws: Workspace, values: FormValues, change: str) -> Done:
    document, body = values["document"], values["body"]
    reverified = Reverified(document, body) if document or body else None
    return approve_change(ws, change, DecisionEntry(date.today(), values["note"] or None, reverified))


def _reject(ws: Workspace, values: FormValues, change: str) -> Done:
    return reject_change(ws, change, values["note"], date.today())
