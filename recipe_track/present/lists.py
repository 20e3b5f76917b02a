"""The lists of records, hulls and findings as comma-separated values."""

from collections.abc import Iterator, Sequence

from recipe_track.present.csv import Cell, csv_text
from recipe_track.procedures.audit import Audit
from recipe_track.procedures.deviations import state_in_words
from recipe_track.procedures.hull_record import DeviationShown
from recipe_track.procedures.overview import FleetRow
from recipe_track.procedures.register import ChangeRow
from recipe_track.procedures.trials import TrialRow


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
        row.landing.commit.id if row.landing else None, change.title, change.reason,
        "; ".join(change.trials), "; ".join(f"{d.decision}: {d.by}" for _, d in row.decisions),
        "; ".join(f"{v.outcome}: hull {v.hull}" for _, v in row.verifications),
    ]  # fmt: skip


def fleet_csv(rows: Sequence[FleetRow]) -> str:
    """One line a part of a hull."""
    head = (
        *("hull", "model", "status", "part", "revision", "commit", "state", "on"),
        *("observations", "open_observations", "deviations", "holds"),
    )
    return csv_text(head, (line for row in rows for line in _hull_rows(row)))


def _hull_rows(row: FleetRow) -> Iterator[list[Cell]]:
    about = (row.observations, row.open_observations, row.deviations, "; ".join(row.holds))
    for p in row.hull.part:
        built = (p.part, p.revision, p.commit, p.state, p.on.isoformat())
        yield [row.number, row.hull.model, row.hull.status, *built, *about]
    if not row.hull.part:
        yield [row.number, row.hull.model, row.hull.status, *(None,) * 5, *about]


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
    rows = ([f.rule, f.subject, f.message, f.remedy] for f in audit.findings)
    return csv_text(("rule", "subject", "message", "remedy"), rows)
