"""Observations as text, worst first, and as JSON."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from recipe_track.present.plain import shortened, visible
from recipe_track.present.records import (
    day,
    decision_lines,
    indented,
    observation_words,
    record_json,
    severity_words,
)
from recipe_track.present.units import quantity
from recipe_track.procedures.trials import TrialRow
from recipe_track.recipe.records import Trial

if TYPE_CHECKING:
    from rich.console import RenderableType


def trials_json(rows: Sequence[TrialRow]) -> dict[str, Any]:
    """The body of `trial list --json`."""
    return {"trials": [trial_json(row) for row in rows]}


def trial_json(row: TrialRow) -> dict[str, Any]:
    """One observation with what became of it."""
    return {
        **record_json(row.id, row.trial),
        "state": row.state,
        "zone_now": row.zone_now,
        "seen": row.seen,
        "hold": row.held,
        "answers": list(row.answers),
        "decisions": [record_json(i, decision) for i, decision in row.decisions],
    }


def trials_text(rows: Sequence[TrialRow], only_open: bool) -> "Iterator[RenderableType]":
    """One observation per row, worst first, its own words below."""
    from rich.table import Table
    from rich.text import Text

    if not rows:
        yield "no open observations" if only_open else "no observations"
        return
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    for head in ("sev.", "id", "on", "hull", "zone", "observation", "state"):
        table.add_column(head, overflow="fold", no_wrap=head in ("zone", "state"))
    for row in rows:
        told = (
            str(row.trial.severity),
            row.id,
            day(row.trial.on),
            row.trial.hull,
            row.zone_now,
            *_words(row),
        )
        table.add_row(*(Text(visible(cell)) for cell in told))
    yield table
    yield ""
    for row in rows:
        yield f"{row.id}  {shortened(row.trial.text, 68)}"
    held = sorted({row.zone_now for row in rows if row.held})
    if held:
        yield f"on hold: {', '.join(map(visible, held))}"


def _words(row: TrialRow) -> tuple[str, str]:
    times = f" (seen {row.seen} times)" if row.seen > 1 else ""
    state = f"HOLD, {row.state}" if row.held else row.state
    return f"{observation_words(row.trial.observation)}{times}", state


def trial_text(row: TrialRow) -> "Iterator[RenderableType]":
    """One observation in full."""
    trial = row.trial
    now = f" (now {visible(row.zone_now)})" if row.zone_now != trial.zone else ""
    yield f"{row.id}  {observation_words(trial.observation)} in {visible(trial.zone)}{now}, hull {trial.hull}"
    yield f"  {severity_words(trial.severity)}; {'HOLD, ' if row.held else ''}{row.state}"
    yield f"  logged by {visible(trial.by)}, {day(trial.on)}"
    yield from indented(trial.text)
    if trial.conditions:
        yield f"  conditions: {visible(trial.conditions)}"
    yield from _measured(trial)
    for path in trial.attachments:
        yield f"  attached: {visible(path)}"
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
        said.append(f"under {measured.force_kn:g} kN")
    if measured.side_mm is not None:
        said.append(f"on a square of {measured.side_mm:g} mm")
    yield f"  measured: {' '.join(said)}"
    yield "  (to be compared only with the figure under the foot load, for the same load and place)"
