"""The records of a repository together: found by id, and by what is asked of many of them."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import TypeVar, cast

from recipe_track.recipe.records import Change, Decision, Deviation, Record, Trial, Verification, Weighing

RecordT = TypeVar("RecordT", bound=Record)
Listed = Sequence[tuple[str, RecordT]]


class Records(Mapping[str, Record]):
    """Every record by id; each index is made once, and only when something is asked of it."""

    def __init__(self, records: Mapping[str, Record] | None = None) -> None:
        self._by_id = dict(records or {})

    def __getitem__(self, record_id: str) -> Record:
        return self._by_id[record_id]

    def __iter__(self) -> Iterator[str]:
        return iter(self._by_id)

    def __len__(self) -> int:
        return len(self._by_id)

    def joined(self, more: Mapping[str, Record]) -> "Records":
        """These and more."""
        return Records({**self._by_id, **more})

    @cached_property
    def replaced_by(self) -> Mapping[str, Sequence[str]]:
        """Record → the ids of those that correct it."""
        return _grouped((record.replaces, name) for name, record in self.items() if record.replaces)

    @cached_property
    def in_force(self) -> Mapping[str, Record]:
        """The records that no later record corrects."""
        return {name: record for name, record in self.items() if name not in self.replaced_by}

    def all_of(self, kind: type[RecordT]) -> Mapping[str, RecordT]:
        """Every record of a kind by id, corrected ones among them."""
        return cast("Mapping[str, RecordT]", self._all_of.get(kind, {}))

    @cached_property
    def _all_of(self) -> Mapping[type[object], Mapping[str, Record]]:
        by_kind = _grouped((type(record), (name, record)) for name, record in self.items())
        return {kind: dict(listed) for kind, listed in by_kind.items()}

    def of_kind(self, kind: type[RecordT]) -> Listed[RecordT]:
        """Records of one kind in force, oldest first."""
        return cast("Listed[RecordT]", self._of_kind.get(kind, ()))

    @cached_property
    def _of_kind(self) -> Mapping[type[object], Listed[Record]]:
        oldest_first = sorted(self.in_force.items(), key=lambda pair: (pair[1].on, pair[0]))
        return _grouped((type(record), (name, record)) for name, record in oldest_first)

    def on_hull(self, kind: type[RecordT], hull: str) -> Listed[RecordT]:
        """Records of one kind in force that were made on a hull, oldest first."""
        return cast("Listed[RecordT]", self._on_hull.get((kind, hull), ()))

    @cached_property
    def _on_hull(self) -> Mapping[tuple[type[object], str], Listed[Record]]:
        listed: Listed[Trial | Deviation | Weighing]
        listed = (*self.of_kind(Trial), *self.of_kind(Deviation), *self.of_kind(Weighing))
        return _grouped(((type(record), record.hull), (name, record)) for name, record in listed)

    def decisions_about(self, subject: str) -> Listed[Decision]:
        """Decisions about one record, oldest first."""
        return self._decisions.get(subject, ())

    def last_decision(self, subject: str) -> str | None:
        """What was decided last about a record; None where nothing was."""
        decisions = self.decisions_about(subject)
        return decisions[-1][1].decision if decisions else None

    @cached_property
    def _decisions(self) -> Mapping[str, Listed[Decision]]:
        return _grouped((decision.about, (name, decision)) for name, decision in self.of_kind(Decision))

    def verifications_of(self, change: str) -> Listed[Verification]:
        """Verifications of one change, oldest first; of one day, those that do not confirm come last."""
        return self._verifications.get(change, ())

    @cached_property
    def _verifications(self) -> Mapping[str, Listed[Verification]]:
        doubt_last = sorted(self.of_kind(Verification), key=lambda v: (v[1].on, v[1].outcome, v[0]))
        return _grouped((verification.about, (name, verification)) for name, verification in doubt_last)

    @cached_property
    def approved_changes(self) -> Mapping[str, Change]:
        """Changes whose last decision is approval, oldest first."""
        changes = self.of_kind(Change)
        return {name: change for name, change in changes if self.last_decision(name) == "approved"}

    def answers_of(self, trial: str) -> Sequence[str]:
        """What answers a trial observation: approved changes that list it, and decisions that close it."""
        closing = [name for name, decision in self.decisions_about(trial) if decision.decision != "contained"]
        return [*self.changes_answering(trial), *closing]

    def changes_answering(self, trial: str) -> Sequence[str]:
        """Approved changes that list a trial observation, oldest first."""
        return self._answering.get(trial, ())

    @cached_property
    def _answering(self) -> Mapping[str, Sequence[str]]:
        changes = self.approved_changes.items()
        return _grouped((trial, name) for name, change in changes for trial in dict.fromkeys(change.trials))


KeyT = TypeVar("KeyT")
ValueT = TypeVar("ValueT")


def _grouped(pairs: Iterable[tuple[KeyT, ValueT]]) -> Mapping[KeyT, list[ValueT]]:
    groups: dict[KeyT, list[ValueT]] = {}
    for key, value in pairs:
        groups.setdefault(key, []).append(value)
    return groups
