"""Changes and observations as text: those that wait first, worst first."""

from collections.abc import Iterator, Sequence

from rich.console import RenderableType

from recipe_track.present.terminal.tables import TableColumn, table, words_columns
from recipe_track.present.words.changes import considered_lines, effect_lines, hulls_words, outcome_lines
from recipe_track.present.words.plain import shortened, visible
from recipe_track.present.words.records import (
    date_words,
    decision_lines,
    indented,
    observation_words,
    severity_words,
)
from recipe_track.present.words.units import quantity, stated
from recipe_track.recipe.records import Trial
from recipe_track.review.change.register import ChangeRow, ChangeShown
from recipe_track.review.hull.overview import TrialRow


def changes_text(rows: Sequence[ChangeRow]) -> Iterator[RenderableType]:
    """One change per row."""
    if not rows:
        yield "no changes"
        return
    yield table(words_columns("id", "of", "state", "in", "what and why"), map(_change_cells, rows))


def _change_cells(row: ChangeRow) -> tuple[str, ...]:
    what = f"{shortened(row.change.title, 70)} — {shortened(row.change.reason, 90)}"
    return row.id, date_words(row.change.on), row.state, row.release or "", what


def change_text(shown: ChangeShown) -> Iterator[RenderableType]:
    """One change in full."""
    row, change = shown.row, shown.row.change
    yield f"{row.id}  {visible(change.title)}"
    released = f", first in {row.release}" if row.release else ""
    yield f"  {row.state}{released}; {change.category}, {change.model}"
    yield "  why:"
    yield from indented(change.reason)
    yield f"  proposed by {visible(change.by)}, {date_words(change.on)}"
    if row.branch:
        yield f"  waits on branch {visible(row.branch)}"
    if change.trials:
        yield f"  answers {', '.join(change.trials)}"
    if considered := list(considered_lines(change)):
        yield "  what else was weighed:"
        yield from (f"    {line}" for line in considered)
    yield from (f"  {line}" for line in decision_lines(row.decisions, shown.proof))
    yield from (f"  {line}" for line in effect_lines(shown))
    yield from (f"  {line}" for line in outcome_lines(shown))
    if shown.hulls or shown.hulls_planned:
        yield f"  on hulls {hulls_words(shown)}"


def trials_text(rows: Sequence[TrialRow], only_open: bool) -> Iterator[RenderableType]:
    """One observation per row, worst first, its own words below."""
    if not rows:
        yield "no open observations" if only_open else "no observations"
        return
    heads = ("sev.", "id", "on", "hull", "zone", "observation", "state")
    columns = (TableColumn(head, fold=head not in ("zone", "state")) for head in heads)
    yield table(columns, map(_trial_cells, rows), apart=1)
    yield ""
    for row in rows:
        yield f"{row.id}  {shortened(row.trial.text, 68)}"
    held = sorted({row.zone_now for row in rows if row.held})
    if held:
        yield f"on hold: {', '.join(map(visible, held))}"


def _trial_cells(row: TrialRow) -> tuple[str, ...]:
    trial = row.trial
    cells = (str(trial.severity), row.id, date_words(trial.on), trial.hull, row.zone_now, *_words(row))
    return tuple(map(visible, cells))


def _words(row: TrialRow) -> tuple[str, str]:
    times = f" (seen {row.seen} times)" if row.seen > 1 else ""
    state = f"HOLD, {row.state}" if row.held else row.state
    return f"{observation_words(row.trial.observation)}{times}", state


def trial_text(row: TrialRow) -> Iterator[RenderableType]:
    """One observation in full."""
    trial = row.trial
    now = f" (now {visible(row.zone_now)})" if row.zone_now != trial.zone else ""
    yield f"{row.id}  {observation_words(trial.observation)} in {visible(trial.zone)}{now}, hull {trial.hull}"
    yield f"  {severity_words(trial.severity)}; {'HOLD, ' if row.held else ''}{row.state}"
    yield f"  logged by {visible(trial.by)}, {date_words(trial.on)}"
    yield from indented(trial.text)
    if trial.conditions:
        yield f"  conditions: {visible(trial.conditions)}"
    yield from _measured(trial)
    for attachment in trial.attachments:
        yield f"  attached: {visible(attachment.path)}"
    if trial.note:
        yield from indented(trial.note)
    yield from (f"  {line}" for line in decision_lines(row.decisions))
    changes = [answer for answer in row.answers if answer.startswith("C-")]
    if changes:
        yield f"  answered by {', '.join(changes)}"


def _measured(trial: Trial) -> Iterator[str]:
    measured = trial.measured
    if measured is None:
        return
    said = []
    if measured.deflection_mm is not None:
        said.append(quantity("deflection_mm", measured.deflection_mm))
    if measured.force_kn is not None:
        said.append(f"under {stated('force_kn', measured.force_kn)}")
    if measured.side_mm is not None:
        said.append(f"on a square of {stated('side_mm', measured.side_mm)}")
    yield f"  measured: {' '.join(said)}"
    yield "  (to be compared only with the figure under the foot load, for the same load and place)"
