"""Changes: rows, and one in full with its impact computed again."""

from collections.abc import Iterator, Mapping, Sequence

from textual.content import Content

from recipe_track.present.words.figures import day_words
from recipe_track.present.words.units import measure, signed_quantity
from recipe_track.recipe.records import Considered, Expected
from recipe_track.review.change.register import ChangeRow, ChangeShown
from recipe_track.tui.dialogs.form import FormField
from recipe_track.tui.plaintext import line, lines
from recipe_track.tui.widgets.rows import Column, ListRow

COLUMNS = (
    Column("change", 8),
    Column("state", 13),
    Column("proposed", 11, from_width=90),
    Column("release", 7),
    Column("title", 0),
)


def change_list(rows: Sequence[ChangeRow]) -> list[ListRow]:
    """Those that wait for a decision first, as they come."""
    return [_row(row) for row in rows]


def _row(row: ChangeRow) -> ListRow:
    waits = row.state == "proposed"
    state = "WAITING" if waits else row.state
    on = day_words(row.change.on.isoformat())
    look = "strong" if waits else "urgent" if row.state == "not confirmed" else ""
    return ListRow(row.id, (row.id, state, on, row.release or "", row.change.title), look)


def change_page(shown: ChangeShown, currency: str | None) -> Content:
    """One change in full."""
    return lines(_page(shown, currency))


def _page(shown: ChangeShown, currency: str | None) -> Iterator[Content]:
    row, change = shown.row, shown.row.change
    yield line((f"{row.id}  {change.title}", "bold"))
    yield line(("why  ", "bold"), change.reason)
    answers = f", answers {', '.join(change.trials)}" if change.trials else ""
    yield line(f"{change.category}, proposed by {change.by}, {day_words(change.on.isoformat())}{answers}")
    yield from _effect(shown, currency)
    for concern in shown.concerns:
        yield line((f"required minima: {concern.zone}: {concern.text}", "bold $accent"))
    if shown.trouble:
        yield line((shown.trouble, "bold $accent"))
    for record, decision in row.decisions:
        on = day_words(decision.on.isoformat())
        yield line(f"{record} {decision.decision} by {decision.by}, {on}: {decision.note or ''}")
    for record, verification in row.verifications:
        yield line(f"{record} {verification.outcome} on hull {verification.hull}: {verification.note or ''}")
    if shown.hulls:
        yield line(f"on hulls {', '.join(shown.hulls)}")
    yield from _considered(change.considered)


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
    said = (f"{measure(key).words} {signed_quantity(key, value, currency)}" for key, value in values.items())
    return ", ".join(said)


def _considered(considered: str | Considered | None) -> Iterator[Content]:
    if isinstance(considered, str):
        yield line(("also weighed  ", "bold"), considered)
    elif considered is not None:
        said = [*([considered.text] if considered.text else []), *considered.options]
        yield line(("also weighed  ", "bold"), "; ".join(said))


def approve_fields(filled: Mapping[str, str]) -> tuple[FormField, ...]:
    """The form for an approval."""
    value = filled.get
    return (
        FormField("note", "note", value("note", ""), "optional"),
        FormField("document", "re-verified in", value("document", ""), "only for broken or re-based minima"),
        FormField("body", "checked by", value("body", ""), "who stands for that document"),
    )


def reject_fields(filled: Mapping[str, str]) -> tuple[FormField, ...]:
    """The form for a rejection."""
    return (FormField("note", "why", filled.get("note", ""), "a sentence for whoever asks later"),)
