"""A form: a few things to fill in, returned as they were typed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Select, Static

from recipe_track.present.words.plain import visible
from recipe_track.tui.plaintext import plain


@dataclass(frozen=True, slots=True)
class FormField:
    """One thing to fill in; with choices it is one of them."""

    key: str
    label: str
    value: str = ""
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()


class FormDialog(ModalScreen[Mapping[str, str] | None]):
    """Returns what was filled in by key, or None; says why it came back where it was refused before."""

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
            yield Static(plain(self._title, "bold"), id="dialog-title")
            if self._refused:
                yield Static(plain(self._refused, "bold $accent"), id="refused")
            with VerticalScroll(id="fields", can_focus=False):
                for field in self._fields:
                    yield from _row(field)
            with Horizontal(id="buttons"):
                yield Button(plain(f"{self._verb} (F2)"), id="submit", compact=True)
                yield Button(plain("Leave it (esc)"), id="leave", compact=True)
            yield Static(plain("tab goes on · enter opens a list", "$text-muted"), id="dialog-keys")

    def on_mount(self) -> None:
        """Begin with the first field."""
        self.query_one(f"#field-{self._fields[0].key}").focus()

    @on(Input.Submitted)
    def go_on(self) -> None:
        """Enter in a text goes on to the next field."""
        self.focus_next()

    @on(Button.Pressed, "#submit")
    def action_submit(self) -> None:
        """Return what is filled in."""
        self.dismiss({field.key: self._value(field) for field in self._fields})

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Return nothing."""
        self.dismiss(None)

    def _value(self, field: FormField) -> str:
        if not field.choices:
            return self.query_one(f"#field-{field.key}", Input).value.strip()
        chosen = self.query_one(f"#field-{field.key}", Select).value
        return chosen if isinstance(chosen, str) else ""


def _row(field: FormField) -> ComposeResult:
    with Horizontal(classes="field"):
        yield Static(plain(field.label), classes="label")
        if field.choices:
            options = [(visible(words), key) for key, words in field.choices]
            value = field.value or field.choices[0][0]
            yield Select(options, value=value, allow_blank=False, compact=True, id=f"field-{field.key}")
        else:
            hint = visible(field.hint)
            yield Input(value=visible(field.value), placeholder=hint, compact=True, id=f"field-{field.key}")
