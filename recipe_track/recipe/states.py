"""What follows from the records: what is open, decided, released or confirmed, and what is on hold."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal, TypeVar

from recipe_track.recipe.identity import names_now
from recipe_track.recipe.records import Change, Decision, Deviation, Record, Trial, Verification, Weighing
from recipe_track.recipe.snapshot import Snapshot

HOLD_SEVERITY = 4
ChangeState = Literal["proposed", "approved", "rejected", "released", "confirmed", "not confirmed"]
TrialState = Literal["open", "contained", "answered"]
DeviationState = Literal["reported", "accepted", "refused"]
R = TypeVar("R", Trial, Change, Decision, Deviation, Verification, Weighing)


@dataclass(frozen=True, slots=True)
class Hold:
    """Why a zone is on hold: the record, the hull it was seen on, and a few words."""

    record: str
    hull: str
    zone: str
    reason: str


@dataclass(frozen=True, slots=True)
class _Joined:
    """Records by kind, oldest first, and joined by what they are about."""

    records: Mapping[str, Record]
    size: int
    by_kind: Mapping[type[Record], list[tuple[str, Record]]]
    decisions: Mapping[str, list[tuple[str, Decision]]]
    verifications: Mapping[str, list[tuple[str, Verification]]]


_KEPT = 8
_joined_lately: list[_Joined] = []  # thousands of observations would else be joined anew for each of them


def _joined(records: Mapping[str, Record]) -> _Joined:
    for known in _joined_lately:
        if known.records is records and known.size == len(records):
            return known
    made = _join(records)
    _joined_lately[:] = [made, *_joined_lately[: _KEPT - 1]]
    return made


def _join(records: Mapping[str, Record]) -> _Joined:
    by_kind: dict[type[Record], list[tuple[str, Record]]] = {}
    decisions: dict[str, list[tuple[str, Decision]]] = {}
    verifications: dict[str, list[tuple[str, Verification]]] = {}
    for name, record in sorted(in_force(records).items(), key=lambda pair: (pair[1].on, pair[0])):
        by_kind.setdefault(type(record), []).append((name, record))
        if isinstance(record, Decision):
            decisions.setdefault(record.about, []).append((name, record))
        elif isinstance(record, Verification):
            verifications.setdefault(record.about, []).append((name, record))
    for found in verifications.values():  # of one day, the doubt counts
        found.sort(key=lambda pair: (pair[1].on, pair[1].outcome, pair[0]))
    return _Joined(records, len(records), by_kind, decisions, verifications)


def in_force(records: Mapping[str, Record]) -> dict[str, Record]:
    """The records that no later record corrects."""
    replaced = {r.replaces for r in records.values() if r.replaces}
    return {i: r for i, r in records.items() if i not in replaced}


def of_kind(records: Mapping[str, Record], kind: type[R]) -> Iterator[tuple[str, R]]:
    """Records of one kind in force, oldest first."""
    for name, record in _joined(records).by_kind.get(kind, ()):
        assert isinstance(record, kind)
        yield name, record


def decisions_about(records: Mapping[str, Record], subject: str) -> list[tuple[str, Decision]]:
    """Decisions about one record, oldest first."""
    return list(_joined(records).decisions.get(subject, ()))


def verifications_of(records: Mapping[str, Record], change: str) -> list[tuple[str, Verification]]:
    """Verifications of one change, oldest first; of one day, those that do not confirm come last."""
    return list(_joined(records).verifications.get(change, ()))


def change_state(records: Mapping[str, Record], change: str, released: Iterable[str] = ()) -> ChangeState:
    """Where a change stands; `released` names the changes that a release contains."""
    verifications = verifications_of(records, change)
    if verifications:
        return "confirmed" if verifications[-1][1].outcome == "confirmed" else "not confirmed"
    decisions = decisions_about(records, change)
    if not decisions:
        return "proposed"
    if decisions[-1][1].decision == "rejected":
        return "rejected"
    return "released" if change in set(released) else "approved"


def approved_changes(records: Mapping[str, Record]) -> dict[str, Change]:
    """Changes whose last decision is approval."""
    decided = _joined(records).decisions
    return {
        name: change
        for name, change in of_kind(records, Change)
        if name in decided and decided[name][-1][1].decision == "approved"
    }


def answers_of(records: Mapping[str, Record], trial: str) -> list[str]:
    """What answers a trial observation: approved changes that list it, and decisions that close it."""
    changes = [i for i, c in approved_changes(records).items() if trial in c.trials]
    closing = [i for i, d in decisions_about(records, trial) if d.decision != "contained"]
    return [*changes, *closing]


def trial_state(records: Mapping[str, Record], trial: str) -> TrialState:
    """Open until contained or answered."""
    if answers_of(records, trial):
        return "answered"
    return "contained" if decisions_about(records, trial) else "open"


def deviation_state(records: Mapping[str, Record], deviation: str) -> DeviationState:
    """Reported until decided."""
    decisions = decisions_about(records, deviation)
    if not decisions:
        return "reported"
    return "accepted" if decisions[-1][1].decision == "accepted" else "refused"


def open_trials(records: Mapping[str, Record]) -> list[tuple[str, Trial]]:
    """Observations that nothing answers, worst first, then oldest."""
    trials = [(i, t) for i, t in of_kind(records, Trial) if trial_state(records, i) != "answered"]
    return sorted(trials, key=lambda pair: (-pair[1].severity, pair[1].on, pair[0]))


def holds(snapshot: Snapshot) -> list[Hold]:
    """Zones on hold: observations of severity 4 or 5 left open, and deviations not yet decided."""
    records = snapshot.records
    severe = [
        Hold(i, t.hull, t.zone, f"severity {t.severity} observation on hull {t.hull}, open")
        for i, t in of_kind(records, Trial)
        if t.severity >= HOLD_SEVERITY and trial_state(records, i) == "open"
    ]
    undecided = [
        Hold(i, d.hull, d.zone, f"{d.type} on hull {d.hull}, not decided")
        for i, d in of_kind(records, Deviation)
        if deviation_state(records, i) == "reported"
    ]
    return [*severe, *undecided]


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
