"""Tables and lists as comma-separated values (RFC 4180) that no spreadsheet takes for formulas."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from recipe_track.present.words.plain import visible
from recipe_track.review.hull.zones import DeviationShown, state_in_words

if TYPE_CHECKING:
    from recipe_track.review.audit import Audit
    from recipe_track.review.change.register import ChangeRow
    from recipe_track.review.hull.overview import HullRow, TrialRow

Cell = str | float | int | bool | None
# A spreadsheet evaluates a cell that starts so (OWASP, "CSV injection"); full-width forms count in some.
STARTERS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_text(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """A table with its head; lines end in CR LF, numbers are written in full, nothing is empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL)
    writer.writerow(head)
    writer.writerows([cell_text(cell) for cell in row] for row in rows)
    return out.getvalue()


def cell_text(cell: Cell) -> str:
    """One cell; text that a spreadsheet would evaluate gets an apostrophe before it."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return repr(cell)
    acting = cell.lstrip(" \u00a0").startswith(STARTERS)
    return f"'{visible(cell)}" if acting else visible(cell)


def trials_csv(rows: Sequence[TrialRow]) -> str:
    """One line an observation."""
    head = (
        *("id", "on", "by", "hull", "zone", "zone_now", "observation", "severity", "state", "hold", "seen"),
        *("text", "conditions", "deflection_mm", "force_kn", "side_mm", "answers"),
    )
    return csv_text(head, (_trial_row(row) for row in rows))


def _trial_row(row: TrialRow) -> list[Cell]:
    trial = row.trial
    measured = [getattr(trial.measured, key, None) for key in ("deflection_mm", "force_kn", "side_mm")]
    return [
        row.id, trial.on.isoformat(), trial.by, trial.hull, trial.zone, row.zone_now, trial.observation,
        trial.severity, row.state, row.held, row.seen, trial.text, trial.conditions, *measured,
        "; ".join(row.answers),
    ]  # fmt: skip


def changes_csv(rows: Sequence[ChangeRow]) -> str:
    """One line a change."""
    head = (
        *("id", "on", "by", "model", "category", "state", "release", "commit", "title", "reason", "trials"),
        *("decided_by", "outcomes"),
    )
    return csv_text(head, (_change_row(row) for row in rows))


def _change_row(row: ChangeRow) -> list[Cell]:
    change = row.change
    return [
        row.id, change.on.isoformat(), change.by, change.model, change.category, row.state, row.release,
        row.landed.last.id if row.landed else None, change.title, change.reason,
        "; ".join(change.trials), "; ".join(f"{d.decision}: {d.by}" for _, d in row.decisions),
        "; ".join(f"{v.outcome}: hull {v.hull}" for _, v in row.verifications),
    ]  # fmt: skip


def fleet_csv(rows: Sequence[HullRow]) -> str:
    """One line a part of a hull."""
    head = (
        *("hull", "model", "status", "part", "revision", "commit", "state", "on"),
        *("observations", "open_observations", "deviations", "holds"),
    )
    return csv_text(head, (line for row in rows for line in _hull_rows(row)))


def _hull_rows(row: HullRow) -> Iterator[list[Cell]]:
    about = (row.observations, row.open_observations, row.deviations, "; ".join(row.holds))
    for p in row.state.parts:
        built = (p.part, p.revision, p.commit, p.state, p.on.isoformat())
        yield [row.number, row.hull.model, row.state.state, *built, *about]
    if not row.state.parts:
        yield [row.number, row.hull.model, row.state.state, *(None,) * 5, *about]


def deviations_csv(rows: Sequence[DeviationShown]) -> str:
    """One line a departure."""
    head = ("id", "on", "by", "type", "hull", "zone", "area_fraction", "state", "called", "text", "layers")
    return csv_text(head, (_deviation_row(row) for row in rows))


def _deviation_row(row: DeviationShown) -> list[Cell]:
    found = row.deviation
    layers = [
        f"line {x.line}: {x.plies} {x.material} {x.action} {x.instead or ''}".strip() for x in found.layers
    ]
    return [
        row.id, found.on.isoformat(), found.by, found.type, found.hull, found.zone, found.area_fraction,
        row.state, state_in_words(found, row.state), found.text, "; ".join(layers),
    ]  # fmt: skip


def findings_csv(audit: Audit) -> str:
    """One line a finding."""
    listed = [*((f, None) for f in audit.findings), *((a.finding, a.action) for a in audit.answered)]
    rows = (
        [f.id, f.rule, f.subject, f.file, f.commit, f.by, f.since, f.message, f.remedy, action]
        for f, action in listed
    )
    head = ("id", "rule", "subject", "file", "commit", "by", "since", "message", "remedy", "answered_by")
    return csv_text(head, rows)
