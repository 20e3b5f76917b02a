"""What follows from the records: what is open, decided, released or confirmed, and what is on hold."""

from collections.abc import Container
from dataclasses import dataclass
from typing import Literal

from recipe_track.recipe.entitlement import HOLD_SEVERITY as HOLD_SEVERITY
from recipe_track.recipe.identity import names_now
from recipe_track.recipe.ledger import Records
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.records import Deviation, Record, Trial
from recipe_track.recipe.snapshot import Snapshot

ChangeState = Literal[
    "proposed", "superseded", "approved", "rejected", "released", "confirmed", "not confirmed"
]  # fmt: skip
TrialState = Literal["open", "contained", "answered"]
DeviationState = Literal["reported", "accepted", "refused"]


@dataclass(frozen=True, slots=True)
class Hold:
    """Why a zone is on hold: the record, the hull it was seen on, and a few words."""

    record: str
    hull: str
    zone: str
    reason: str


def change_state(records: Records, change: str, released: Container[str] = ()) -> ChangeState:
    """Where a change stands; `released` names the changes that a release contains."""
    if records.replaced_by.get(change):
        return "superseded"
    verifications = records.verifications_of(change)
    if verifications:
        return "confirmed" if verifications[-1][1].outcome == "confirmed" else "not confirmed"
    decision = records.last_decision(change)
    if decision is None:
        return "proposed"
    if decision == "rejected":
        return "rejected"
    return "released" if change in released else "approved"


def trial_state(records: Records, trial: str) -> TrialState:
    """Open until contained or answered."""
    if records.answers_of(trial):
        return "answered"
    return "contained" if records.decisions_about(trial) else "open"


def lifts_hold(before: Trial, after: Trial) -> bool:
    """Whether a correction of an observation would lift the hold that it puts on its zone."""
    return before.severity >= HOLD_SEVERITY > after.severity


def moves_hold(before: Record, after: Record) -> bool:
    """Whether a correction would carry the hold that a record may put on its zone to another."""
    if isinstance(before, Trial) and isinstance(after, Trial):
        return before.severity >= HOLD_SEVERITY and _where(before) != _where(after)
    return isinstance(before, Deviation) and isinstance(after, Deviation) and _where(before) != _where(after)


def _where(record: Trial | Deviation) -> tuple[str, str]:
    return record.hull, record.zone


def deviation_state(records: Records, deviation: str) -> DeviationState:
    """Reported until decided."""
    decision = records.last_decision(deviation)
    if decision is None:
        return "reported"
    return "accepted" if decision == "accepted" else "refused"


def open_trials(records: Records) -> list[tuple[str, Trial]]:
    """Observations that nothing answers, worst first, then oldest."""
    trials = [(i, t) for i, t in records.of_kind(Trial) if trial_state(records, i) != "answered"]
    return sorted(trials, key=lambda pair: (-pair[1].severity, pair[1].on, pair[0]))


def holds(snapshot: Snapshot) -> list[Hold]:
    """Zones on hold: observations of severity 4 or 5 left open, and deviations not yet decided."""
    records = snapshot.records
    severe = [
        Hold(i, records.hull_of(i), t.zone, f"severity {t.severity} observation on {_on(records, i)}, open")
        for i, t in records.of_kind(Trial)
        if t.severity >= HOLD_SEVERITY and trial_state(records, i) == "open"
    ]
    undecided = [
        Hold(i, records.hull_of(i), d.zone, f"{d.type} on {_on(records, i)}, not decided")
        for i, d in records.of_kind(Deviation)
        if deviation_state(records, i) == "reported"
    ]
    return [*severe, *undecided]


def _on(records: Records, name: str) -> str:
    """`hull 014`, or `hull 013 (copy 1, scrapped)` of a part that another one stands in for."""
    former = records.former_copy(name)
    return f"hull {records.hull_of(name)}{f' (copy {former.copy}, {former.state})' if former else ''}"


def holds_by_zone(snapshot: Snapshot, model: str) -> dict[str, list[Hold]]:
    """Holds of a model's zones by the name a zone has now; what was split is on hold in all its pieces."""
    zones = snapshot.zones_of(model)
    by_zone: dict[str, list[Hold]] = {}
    for hold in holds(snapshot):
        hull = snapshot.hulls.get(hold.hull)
        if hull is not None and hull.model == model:
            for zone in names_now(hold.zone, zones) or (hold.zone,):
                by_zone.setdefault(zone, []).append(hold)
    return by_zone


def holds_of_zone(snapshot: Snapshot, model: str, zone: str) -> tuple[Hold, ...]:
    """Holds of a zone by any name it has or had."""
    by_zone = holds_by_zone(snapshot, model)
    names = names_now(zone, snapshot.zones_of(model)) or (zone,)
    return tuple(dict.fromkeys(hold for name in names for hold in by_zone.get(name, ())))


def holds_of_part(snapshot: Snapshot, model: str, part: str | None = None) -> tuple[Hold, ...]:
    """Holds of the zones of a part, or of every part."""
    by_zone = sorted(holds_by_zone(snapshot, model).items())
    return tuple(
        dict.fromkeys(hold for zone, held in by_zone if part in (None, part_of(zone)) for hold in held)
    )


def holds_on_hull(snapshot: Snapshot, number: str) -> tuple[Hold, ...]:
    """Holds of the parts that one hull has now, by any number it has or had."""
    records, own = snapshot.records, snapshot.records.number_of(number)
    return tuple(h for h in holds(snapshot) if h.hull == own and records.former_copy(h.record) is None)
