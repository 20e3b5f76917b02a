"""Trial observations: the list, one in full, the forms, and what was filled in as an entry."""

from collections.abc import Iterator
from datetime import date
from functools import partial
from typing import get_args

from textual.content import Content

from recipe_track.errors import CallError
from recipe_track.present.words.figures import day_words
from recipe_track.present.words.units import as_given
from recipe_track.procedures.trials import TrialEntry
from recipe_track.recipe.records import DECISIONS_ABOUT, Observation
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.hull.overview import TrialRow, trial_rows
from recipe_track.tui.forms import FormField, FormValues
from recipe_track.tui.text import line, lines
from recipe_track.tui.widgets.listing import Listing, Subject
from recipe_track.tui.widgets.rows import ListColumn, ListRow
from recipe_track.workspace import Workspace

HULL_CHOICE_COLUMNS = (ListColumn("hull", 10), ListColumn("status", 0))
_COLUMNS = (
    ListColumn("sev", 3, right=True),
    ListColumn("state", 9),
    ListColumn("hull", 6),
    ListColumn("zone", 22),
    ListColumn("observation", 19),
    ListColumn("date", 11, from_width=90),
    ListColumn("text", 0, from_width=110),
)
_SEVERITIES = (
    ("1", "1 cosmetic"),
    ("2", "2 a nuisance"),
    ("3", "3 needs an answer"),
    ("4", "4 restricts use: zone on hold"),
    ("5", "5 unsafe: zone on hold"),
)
_DECISIONS = {
    "contained": "contained: kept from harm, still to be answered",
    "rework": "rework: put right on this hull, the recipe stays",
    "left-as-is": "left as is: it may stay as it is",
    "same-as": "same as: one that was logged before says it",
    "not-found-again": "not found again: looked for, and not there",
}
_NUMBERS = (
    ("deflection_mm", "deflection mm"),
    ("force_kn", "under force kN"),
    ("side_mm", "on a square of mm"),
)


def trial_subject(model: str, only_open: bool) -> Subject[Snapshot, TrialRow]:
    """Observations on hulls of a model, worst first, as they come."""
    listing = partial(_listing, model=model, only_open=only_open)
    return Subject(_COLUMNS, "nothing stands open", Workspace.current, listing, trial_page)


def _listing(snapshot: Snapshot, model: str, only_open: bool) -> Listing[TrialRow]:
    hulls = {number for number, hull in snapshot.hulls.items() if hull.model == model}
    rows = [row for row in trial_rows(snapshot, only_open=only_open) if row.trial.hull in hulls]
    note = f"{len(rows)} {'open' if only_open else 'in all'}, worst first"
    return Listing(tuple((_row(row), row) for row in rows), note)


def hull_choices(snapshot: Snapshot, model: str) -> list[ListRow]:
    """The hulls that something can have been observed on."""
    return [
        ListRow(number, (number, snapshot.hull_state(number).state)) for number in snapshot.numbers(model)
    ]


def _row(row: TrialRow) -> ListRow:
    trial = row.trial
    times = f" ({row.seen}×)" if row.seen > 1 else ""
    state = "HOLD" if row.held else row.state
    cells = (
        str(trial.severity), state, trial.hull, row.zone_now, f"{trial.observation}{times}",
        day_words(trial.on.isoformat()), trial.text,
    )  # fmt: skip
    return ListRow(row.id, cells, "urgent" if row.held else "quiet" if row.state == "answered" else "")


def trial_page(row: TrialRow) -> Content:
    """One observation in full."""
    return lines(_page(row))


def _page(row: TrialRow) -> Iterator[Content]:
    trial = row.trial
    was = f" (then {trial.zone})" if row.zone_now != trial.zone else ""
    yield line((f"{row.id}  {trial.observation} at {row.zone_now}", "bold"), was)
    yield line(
        f"hull {trial.hull}, {day_words(trial.on.isoformat())}, severity {trial.severity}, by {trial.by}"
    )
    yield line(f"“{trial.text}”")
    if trial.conditions:
        yield line(f"conditions: {trial.conditions}")
    if trial.measured is not None:
        given = [(words, getattr(trial.measured, key)) for key, words in _NUMBERS]
        yield line(
            "measured: ",
            ", ".join(f"{words} {as_given(value)}" for words, value in given if value is not None),
        )
    if row.held:
        yield line((f"{row.zone_now} is on HOLD until this is contained or answered", "bold $accent"))
    if row.seen > 1:
        yield line(f"seen {row.seen} times in this zone")
    for record, decision in row.decisions:
        yield line(f"{record} {decision.decision} by {decision.by}: {decision.note or ''}")
    changes = [answer for answer in row.answers if answer.startswith("C-")]
    if changes:
        yield line(f"answered by {', '.join(changes)}")
    if row.trial.attachments:
        yield line(f"attached: {', '.join(one.path for one in row.trial.attachments)}")


def log_fields(values: FormValues, today: date) -> tuple[FormField, ...]:
    """The form for an observation; hull and zone are chosen before it."""
    value = values.get
    observations = tuple((word, word) for word in get_args(Observation))
    numbers = tuple(FormField(key, words, value(key, ""), "only if measured") for key, words in _NUMBERS)
    return (
        FormField("observation", "observation", value("observation", ""), choices=observations),
        FormField("severity", "severity", value("severity", ""), choices=_SEVERITIES),
        FormField("text", "what was felt", value("text", ""), "in your own words"),
        FormField("on", "date", value("on", today.isoformat()), "2026-03-10"),
        FormField("conditions", "conditions", value("conditions", ""), "sea, speed, load"),
        *numbers,
    )


def entry_of(hull: str, zone: str, values: FormValues) -> TrialEntry:
    """What was filled in; CallError where a choice was not made, a number or the date cannot be read."""
    for key, words in (("observation", "what was observed"), ("severity", "how severe it is")):
        if not values[key]:
            raise CallError(f"nothing is chosen for {key}", f"choose {words}")
    deflection, force, side = (_number(words, values[key]) for key, words in _NUMBERS)
    return TrialEntry(
        hull, zone, values["observation"], int(values["severity"]), values["text"], _day(values["on"]),
        values["conditions"] or None, deflection, force, side,
    )  # fmt: skip


def _day(text: str) -> date:
    """A date as typed."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CallError(f"`{text}` is not a date", "year-month-day, such as 2026-03-10") from None


def _number(words: str, text: str) -> float | None:
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise CallError(f"`{text}` is not a number ({words})", "with a decimal point, such as 9.5") from None


def decision_fields(values: FormValues) -> tuple[FormField, ...]:
    """The form for a decision about an observation."""
    choices = tuple((word, _DECISIONS[word]) for word in DECISIONS_ABOUT["T"])
    return (
        FormField("decision", "decision", values.get("decision", ""), choices=choices),
        FormField("note", "why", values.get("note", ""), "a sentence for whoever asks later"),
        FormField("same_as", "same as", values.get("same_as", ""), "T-…, only for one that was made before"),
    )
