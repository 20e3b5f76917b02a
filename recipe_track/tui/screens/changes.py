"""Changes: what waits for a decision; open one in Compare, approve it, reject it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Footer

from recipe_track.errors import Refused
from recipe_track.history.refs import merge_base
from recipe_track.procedures.deciding import DecisionEntry, Reverified, approve_change, reject_change
from recipe_track.procedures.writing import Done
from recipe_track.review.change.register import (
    ChangeRow,
    ChangeShown,
    change_rows,
    change_shown,
    proposal_named,
)
from recipe_track.tui.content.changes import (
    COLUMNS,
    approve_fields,
    change_list,
    change_page,
    reject_fields,
)
from recipe_track.tui.content.trouble import trouble_page, trouble_words
from recipe_track.tui.desk import WALKING_S, Answered, Desk, Looked, Troubled
from recipe_track.tui.dialogs.form import FormDialog
from recipe_track.tui.requests import CompareWanted
from recipe_track.tui.session import Session
from recipe_track.tui.widgets.browser import Browser
from recipe_track.tui.widgets.nav import NavLine
from recipe_track.tui.widgets.rows import RowList
from recipe_track.workspace import Workspace

Filled = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Register:
    """The changes of a model and the currency of today's price list."""

    rows: tuple[ChangeRow, ...]
    currency: str | None


@dataclass(frozen=True, slots=True)
class Ends:
    """The commits a change leads from and to."""

    before: str
    after: str


class ChangesScreen(Screen[None]):
    """Writes only what a dialog was answered with, one commit each."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "compare", "open in Compare"),
        Binding("a", "decide('approve')", "approve"),
        Binding("r", "decide('reject')", "reject"),
    ]

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.desk = Desk(self, session)
        self.register = Register((), None)
        self._filled: Filled = {}

    def compose(self) -> ComposeResult:
        """Changes above, the one under the cursor in full below."""
        yield NavLine("changes")
        yield Browser(COLUMNS, "no changes yet")
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        """Ask, and keep looking."""
        self.query_one(Browser).rows.focus()
        self._ask()
        self.desk.watch()

    def _ask(self) -> None:
        self.query_one(NavLine).note("reading …")
        self.desk.ask("changes", partial(_register, model=self.desk.session.model))

    @on(Looked)
    def look(self, message: Looked) -> None:
        """Main or a proposal moved."""
        if self.desk.is_news(message):
            self._ask()

    @on(Answered)
    def answer(self, message: Answered) -> None:
        """The register, one change, where it leads from and to, or what was written."""
        if not self.desk.counts(message):
            return
        value = message.value
        if isinstance(value, ChangeShown):
            self.query_one(Browser).tell(change_page(value, self.register.currency))
        elif isinstance(value, Ends):
            self.post_message(CompareWanted(value.before, value.after))
        elif isinstance(value, Done):
            self._filled = {}
            self.notify("\n".join(value.said), markup=False)
            self._ask()
        elif isinstance(value, Register):
            self._show(value)

    def _show(self, register: Register) -> None:
        self.register = register
        waiting = sum(row.state == "proposed" for row in register.rows)
        self.query_one(NavLine).note(f"{waiting} of {len(register.rows)} waiting")
        self.query_one(Browser).show(change_list(register.rows))

    @on(Troubled)
    def trouble(self, message: Troubled) -> None:
        """A refused decision comes back with what was typed; anything else is said."""
        if not self.desk.counts(message):
            return
        if message.topic in ("approve", "reject"):
            self._open(message.topic, trouble_words(message.error))
        elif message.topic == "ends":
            self.notify(trouble_words(message.error), severity="error", markup=False)
        else:
            self.query_one(NavLine).note("not readable")
            self.query_one(Browser).tell(trouble_page(message.error))

    def _row(self) -> ChangeRow | None:
        key = self.query_one(Browser).rows.key
        return next((row for row in self.register.rows if row.id == key), None)

    @on(RowList.Highlighted)
    def detail(self, event: RowList.Highlighted) -> None:
        """Compute the change under the cursor again."""
        self.desk.ask("change", partial(_shown, change=event.key), WALKING_S)

    def action_compare(self) -> None:
        """Show in Compare what the change does."""
        row = self._row()
        if row is not None:
            self.desk.ask("ends", partial(_ends, row=row))

    def action_decide(self, what: str) -> None:
        """Approve or reject what waits under the cursor."""
        row = self._row()
        if row is not None and row.state != "proposed":
            self.notify(f"{row.id} is {row.state}: there is nothing to decide.", markup=False)
        elif row is not None:
            self._open(what)

    def _open(self, what: str, refused: str = "") -> None:
        row = self._row()
        if row is not None:
            fields = approve_fields(self._filled) if what == "approve" else reject_fields(self._filled)
            title = f"{what.capitalize()} {row.id}: {row.change.title}"
            dialog = FormDialog(title, fields, what.capitalize(), refused)
            self.app.push_screen(dialog, partial(self._decide, what, row.id))

    def _decide(self, what: str, change: str, filled: Filled | None) -> None:
        if filled is not None:
            self._filled = filled
            question = _approve if what == "approve" else _reject
            self.desk.ask(what, partial(question, change=change, filled=filled))


def _register(ws: Workspace, model: str) -> Register:
    snapshot = ws.current()
    rows = tuple(row for row in change_rows(ws, snapshot) if row.change.model == model)
    return Register(rows, snapshot.prices.currency if snapshot.prices else None)


def _shown(ws: Workspace, change: str) -> ChangeShown:
    return change_shown(ws, ws.current(), change)


def _ends(ws: Workspace, row: ChangeRow) -> Ends:
    if row.landed is not None:
        source = row.landed.source
        before = next(iter(source.parents), None)
        if before is None:
            raise Refused(f"{row.id} began the model: there is nothing before it")
        return Ends(before, source.id)
    if row.state != "proposed":
        raise Refused(f"{row.id} changed no recipe file")
    branch = proposal_named(ws, ws.current(), row.id).branch
    base = merge_base(ws.repo, ws.tip(), branch.commit)
    if base is None:
        raise Refused(f"{row.id} shares no history with {ws.main_branch}")
    return Ends(base, branch.ref)


def _approve(ws: Workspace, change: str, filled: Filled) -> Done:
    reverified = (
        Reverified(filled["document"], filled["body"]) if filled["document"] or filled["body"] else None
    )
    return approve_change(ws, change, DecisionEntry(date.today(), filled["note"] or None, reverified))


def _reject(ws: Workspace, change: str, filled: Filled) -> Done:
    return reject_change(ws, change, filled["note"], date.today())
