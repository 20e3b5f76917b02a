"""Changes: the list, one in full with its impact computed again, the forms to decide on it."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial

from textual.content import Content

from recipe_track.present.words.changes import concern_head, hulls_words
from recipe_track.present.words.figures import day_words
from recipe_track.present.words.units import signed_quantity, words_for
from recipe_track.recipe.records import Change, Expected
from recipe_track.review.change.register import ChangeRow, ChangeShown, change_rows, change_shown
from recipe_track.tui.forms import FormField, FormValues
from recipe_track.tui.text import line, lines
from recipe_track.tui.widgets.listing import Listing, Subject
from recipe_track.tui.widgets.rows import ListColumn, ListRow
from recipe_track.workspace import Workspace

_COLUMNS = (
    ListColumn("change", 8),
    ListColumn("state", 13),
    ListColumn("proposed", 11, from_width=90),
    ListColumn("release", 7),
    ListColumn("title", 0),
)


def change_subject(model: str) -> Subject[Sequence[ChangeRow], ChangeRow]:
    """The changes of a model; those that wait for a decision first, as they come."""
    return Subject(_COLUMNS, "no changes yet", partial(_read, model=model), _listing, _ask_page)


def _read(ws: Workspace, model: str) -> Sequence[ChangeRow]:
    return [row for row in change_rows(ws, ws.current()) if row.change.model == model]


def _listing(rows: Sequence[ChangeRow]) -> Listing[ChangeRow]:
    waiting = sum(row.state == "proposed" for row in rows)
    return Listing(tuple((_row(row), row) for row in rows), f"{waiting} of {len(rows)} waiting")


def _ask_page(row: ChangeRow) -> Callable[[Workspace], Content]:
    return partial(_change_page, change=row.id)


def _change_page(ws: Workspace, change: str) -> Content:
    snapshot = ws.current()
    currency = snapshot.prices.currency if snapshot.prices else None
    return lines(_page(change_shown(ws, snapshot, change), currency))


def _row(row: ChangeRow) -> ListRow:
    waits = row.state == "proposed"
    state = "WAITING" if waits else row.state
    on = day_words(row.change.on.isoformat())
    look = "strong" if waits else "urgent" if row.state == "not confirmed" else ""
    return ListRow(row.id, (row.id, state, on, row.release or "", row.change.title), look)


def _page(shown: ChangeShown, currency: str | None) -> Iterator[Content]:
    row, change = shown.row, shown.row.change
    yield line((f"{row.id}  {change.title}", "bold"))
    yield line(("why  ", "bold"), change.reason)
    answers = f", answers {', '.join(change.trials)}" if change.trials else ""
    yield line(f"{change.category}, proposed by {change.by}, {day_words(change.on.isoformat())}{answers}")
    yield from _effect(shown, currency)
    for concern in shown.concerns:
        yield line((f"{concern_head(concern)}: {concern.zone}: {concern.text}", "bold $accent"))
    if shown.trouble:
        yield line((shown.trouble, "bold $accent"))
    for record, decision in row.decisions:
        on = day_words(decision.on.isoformat())
        yield line(f"{record} {decision.decision} by {decision.by}, {on}: {decision.note or ''}")
    for record, verification in row.verifications:
        yield line(f"{record} {verification.outcome} on hull {verification.hull}: {verification.note or ''}")
    if shown.hulls or shown.hulls_planned:
        yield line(f"on hulls {hulls_words(shown)}")
    yield from _considered(change)


def _effect(shown: ChangeShown, currency: str | None) -> Iterator[Content]:
    if shown.expected is not None:
        yield line(("expected  ", "bold"), _expected_words(shown.expected, currency))
        for name, zone in shown.expected.zones.items():
            values = zone.model_dump(exclude_none=True, exclude={"name", "source", "note"})
            yield line(f"  {name}: {_deltas(values, currency)}")
    if shown.difference:
        yield line(("today's figures differ from those expected then:", "bold $accent"))
        yield from (line(f"  {text}") for text in shown.difference)


def _expected_words(expected: Expected, currency: str | None) -> str:
    values = expected.model_dump(exclude_none=True, exclude={"zones", "name", "source", "note"})
    return _deltas(values, currency) or "no effect on the craft"


def _deltas(values: Mapping[str, float], currency: str | None) -> str:
    said = (f"{words_for(key)} {signed_quantity(key, value, currency)}" for key, value in values.items())
    return ", ".join(said)


def _considered(change: Change) -> Iterator[Content]:
    if change.considered:
        yield line(("also weighed  ", "bold"), change.considered)
    for weighed in change.weighed:
        yield line(("also weighed  ", "bold"), f"{weighed.zone}: {'; '.join(weighed.layup)}")


def approve_fields(values: FormValues) -> tuple[FormField, ...]:
    """The form for an approval."""
    value = values.get
    return (
        FormField("note", "note", value("note", ""), "optional"),
        FormField(
            "document",
            "re-verified in",
            value("document", ""),
            "only for minima broken or re-based, uses above 1",
        ),
        FormField("body", "checked by", value("body", ""), "who stands for that document"),
    )


def reject_fields(values: FormValues) -> tuple[FormField, ...]:
    """The form for a rejection."""
    return (FormField("note", "why", values.get("note", ""), "a sentence for whoever asks later"),)
