"""Hulls at a glance, and the observations made on them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from recipe_track.recipe.records import Decision, Deviation, Trial
from recipe_track.recipe.states import (
    TrialState,
    holds,
    holds_on_hull,
    open_trials,
    trial_state,
)
from recipe_track.review.choosing import hull_named, one_of, record_named
from recipe_track.review.hull.zones import zone_now, zones_now

if TYPE_CHECKING:
    from recipe_track.recipe.craft import Hull
    from recipe_track.recipe.hulls import HullPart, HullState
    from recipe_track.recipe.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class HullRow:
    """One hull in a line: its parts, and how much stands open on it."""

    number: str
    hull: Hull
    state: HullState
    observations: int
    open_observations: int
    deviations: int
    holds: tuple[str, ...]


def hull_rows(snapshot: Snapshot, model: str | None = None) -> tuple[HullRow, ...]:
    """Every hull, or those of one model, by number."""
    if model is not None:
        one_of("model", model, snapshot.models)
    records = snapshot.records
    still_open = Counter(records.hull_of(name) for name, _ in open_trials(records))
    return tuple(
        HullRow(
            number, snapshot.hulls[number], snapshot.hull_state(number),
            len(records.on_hull(Trial, number)), still_open[records.number_of(number)],
            sum(records.former_copy(name) is None for name, _ in records.on_hull(Deviation, number)),
            tuple(hold.record for hold in holds_on_hull(snapshot, number)),
        )
        for number in snapshot.numbers(model)
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class TrialRow:
    """An observation and where it stands; `zone_now` is what its zone is called on main today.

    `former` is the copy of the part it is of, where another has taken its place.
    """

    id: str
    trial: Trial
    state: TrialState
    zone_now: str
    seen: int
    held: bool
    answers: tuple[str, ...]
    decisions: tuple[tuple[str, Decision], ...]
    former: HullPart | None = None


def trial_rows(
    snapshot: Snapshot, *, only_open: bool = False, zone: str | None = None, hull: str | None = None
) -> tuple[TrialRow, ...]:
    """Observations, worst first; those that stand open, in one zone or on one hull where asked."""
    if hull is not None:
        hull_named(snapshot, hull)
    records = snapshot.records
    trials = records.of_kind(Trial) if hull is None else records.on_hull(Trial, hull)
    chosen = [
        (i, t, zone_now(snapshot, t))
        for i, t in trials
        if (zone is None or zone in (t.zone, *zones_now(snapshot, t)))
        and (not only_open or trial_state(records, i) != "answered")
    ]
    if zone is not None and not chosen:
        _require_known_zone(snapshot, zone)
    seen = Counter((now, t.observation) for _, t, now in chosen)
    held = {hold.record for hold in holds(snapshot)}
    rows = [_row(snapshot, i, t, now, seen=seen[now, t.observation], held=i in held) for i, t, now in chosen]
    return tuple(sorted(rows, key=lambda r: (-r.trial.severity, -r.seen, r.trial.on, r.id)))


def _row(snapshot: Snapshot, trial_id: str, trial: Trial, now: str, *, seen: int, held: bool) -> TrialRow:
    return TrialRow(
        trial_id, trial, trial_state(snapshot.records, trial_id), now, seen, held,
        tuple(snapshot.records.answers_of(trial_id)),
        tuple(snapshot.records.decisions_about(trial_id)), snapshot.records.former_copy(trial_id),
    )  # fmt: skip


def trial_row(snapshot: Snapshot, trial_id: str) -> TrialRow:
    """One observation and where it stands."""
    trial = record_named(snapshot, trial_id, Trial, "observation")
    rows = trial_rows(snapshot, zone=zone_now(snapshot, trial))
    return next(row for row in rows if row.id == trial_id.upper())


def _require_known_zone(snapshot: Snapshot, zone: str) -> None:
    known = {name for model in snapshot.models for name in snapshot.zone_names(model)}
    one_of("zone", zone, known)
