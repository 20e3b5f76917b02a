"""Forms: a few things to fill in and what is written with them; what was typed is kept for its record."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen, Screen
from textual.widgets import Button, Input, Select, Static

from recipe_track.errors import TrackError
from recipe_track.present.words.plain import visible
from recipe_track.procedures.writing import Done
from recipe_track.tui.background import Background, Resting
from recipe_track.tui.text import error_sentence, literal
from recipe_track.workspace import Workspace

FormValues = Mapping[str, str]
"""What is filled in, by the key of its field."""


@dataclass(frozen=True, slots=True)
class FormField:
    """One thing to fill in; with choices it is one of them, and none until one was chosen."""

    key: str
    label: str
    value: str = ""
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()

    @property
    def start(self) -> str:
        """What stands in it when the form opens: nothing is chosen for anybody."""
        return self.value


@dataclass(frozen=True, slots=True)
class Form:
    """A form about one record: what it asks, and what is written with the answers.

    `about` names the form and its record: what was typed into it is offered there again and nowhere else.
    """

    about: tuple[str, str]
    title: str
    verb: str
    fields: Callable[[FormValues], Sequence[FormField]]
    act: Callable[[Workspace, FormValues], Done]


@dataclass(frozen=True, slots=True)
class FormResult:
    """What was filled in when the form was left, and whether it is to be written."""

    values: FormValues
    submitted: bool


class FormDialog(Resting, ModalScreen[FormResult]):
    """Returns what was filled in; says why it came back where it was refused before."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "leave it"),
        Binding("f2", "submit", "write it"),
    ]

    def __init__(self, title: str, fields: Sequence[FormField], verb: str, refused: str = "") -> None:
        super().__init__()
        self._title, self._fields, self._verb, self._refused = title, tuple(fields), verb, refused

    def compose(self) -> ComposeResult:
        """Title, what was wrong, the fields, the buttons."""
        with Vertical(id="dialog", classes="form"):
            yield Static(literal(self._title, "bold"), id="dialog-title")
            if self._refused:
                yield Static(literal(self._refused, "bold $accent"), id="refused")
            with VerticalScroll(id="fields", can_focus=False):
                for field in self._fields:
                    yield from _row(field)
            with Horizontal(id="buttons"):
                yield Button(literal(f"{self._verb} (F2)"), id="submit", compact=True)
                yield Button(literal("Leave it (esc)"), id="leave", compact=True)
            yield Static(literal("tab goes on · enter opens a list", "$text-muted"), id="dialog-keys")

    def on_mount(self) -> None:
        """Begin with the first field."""
        self.query_one(f"#field-{self._fields[0].key}").focus()

    @on(Input.Submitted)
    def go_on(self) -> None:
        """Enter in a text goes on to the next field."""
        self.focus_next()

    @on(Button.Pressed, "#submit")
    def action_submit(self) -> None:
        """Have it written."""
        self._return(submitted=True)

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Write nothing."""
        self._return(submitted=False)

    def _return(self, submitted: bool) -> None:
        self.dismiss(FormResult({field.key: self._value(field) for field in self._fields}, submitted))

    def _value(self, field: FormField) -> str:
        if not field.choices:
            return self.query_one(f"#field-{field.key}", Input).value.strip()
        chosen = self.query_one(f"#field-{field.key}", Select).value
        return chosen if isinstance(chosen, str) else ""


def _row(field: FormField) -> ComposeResult:
    with Horizontal(classes="field"):
        yield Static(literal(field.label), classes="label")
        if field.choices:
            options = [(visible(words), key) for key, words in field.choices]
            chosen = field.start or Select.NULL
            yield Select(options, prompt="choose", value=chosen, compact=True, id=f"field-{field.key}")
        else:
            hint = visible(field.hint)
            yield Input(value=visible(field.value), placeholder=hint, compact=True, id=f"field-{field.key}")


class Forms:
    """The forms of one screen: opens them, keeps what was typed into each, has it written."""

    def __init__(self, screen: Screen[Any], background: Background, written: Callable[[], None]) -> None:
        self._screen, self._background, self._written = screen, background, written
        self._drafts: dict[tuple[str, str], FormValues] = {}

    def open(self, form: Form, refused: str = "") -> None:
        """Show a form with what was typed into it before."""
        fields = form.fields(self._drafts.get(form.about, {}))
        dialog = FormDialog(form.title, fields, form.verb, refused)
        self._screen.app.push_screen(dialog, partial(self._left, form))

    def _left(self, form: Form, result: FormResult | None) -> None:
        if result is None:
            return
        self._drafts[form.about] = result.values
        if result.values == {field.key: field.start for field in form.fields({})}:
            del self._drafts[form.about]  # nothing was typed, and the date it began with will pass
        if result.submitted:
            values = result.values
            self._background.write(
                lambda ws: form.act(ws, values), partial(self._done, form), partial(self._refused, form)
            )

    def _done(self, form: Form, done: Done) -> None:
        self._drafts.pop(form.about, None)
        self._screen.notify("\n".join(done.said), markup=False)
        self._written()

    def _refused(self, form: Form, error: TrackError) -> None:
        self.open(form, error_sentence(error))
