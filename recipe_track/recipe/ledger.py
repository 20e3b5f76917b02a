"""The records of a repository together: found by id, and by what is asked of many of them."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache, cached_property
from typing import TypeVar, cast

from recipe_track.recipe.hulls import HullPart, HullState, hull_states, steps_of
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.records import (
    CONFIRMED,
    Action,
    Change,
    Decision,
    Deviation,
    Record,
    Step,
    Trial,
    Verification,
    Weighing,
)

RecordT = TypeVar("RecordT", bound=Record)
Listed = Sequence[tuple[str, RecordT]]
CameBefore = Callable[[str, str], bool | None]  # whether a record came to main before another, where known
OnPart = Trial | Deviation | Weighing  # what was seen, found or weighed on one copy of a part


class Records(Mapping[str, Record]):
    """Every record by id; each index is made once, and only when something is asked of it.

    `renumbered` leads from the old number of a hull to its new one. `void` records are there to be read and
    have no effect: a decision in another's name, say, that nobody has confirmed. `came_before` tells the
    order in which records came to main; where it tells none, their dates do.
    """

    def __init__(
        self,
        records: Mapping[str, Record] | None = None,
        renumbered: Mapping[str, str] | None = None,
        void: Iterable[str] = (),
        came_before: CameBefore | None = None,
    ) -> None:
        self._came_before = came_before
        self._by_id = dict(records or {})
        self._renumbered = dict(renumbered or {})
        self.void = frozenset(void)

    def __getitem__(self, record_id: str) -> Record:
        return self._by_id[record_id]

    def __iter__(self) -> Iterator[str]:
        return iter(self._by_id)

    def __len__(self) -> int:
        return len(self._by_id)

    def joined(self, more: Mapping[str, Record]) -> "Records":
        """These and more."""
        return Records({**self._by_id, **more}, self._renumbered, self.void, self._came_before)

    def without_effect(self, void: Iterable[str]) -> "Records":
        """The same records, some of them without effect."""
        return Records(self._by_id, self._renumbered, self.void.union(void), self._came_before)

    def number_of(self, hull: str) -> str:
        """The present number of a hull; a hull that was never renumbered has its own."""
        seen = {hull}
        while (later := self._renumbered.get(hull)) is not None and later not in seen:
            seen.add(later)
            hull = later
        return hull

    @cached_property
    def replaced_by(self) -> Mapping[str, Sequence[str]]:
        """Record → the ids of those that correct it."""
        effective = ((name, record) for name, record in self.items() if name not in self.void)
        return _grouped((record.replaces, name) for name, record in effective if record.replaces)

    @cached_property
    def in_force(self) -> Mapping[str, Record]:
        """The records that have an effect and that no later record corrects."""
        first = (name for name in self if self.is_first(name))
        standing = {
            later
            for name in first
            for later in (self.standing_for(name) if name in self.replaced_by else (name,))
        }
        standing -= self.void
        return {name: record for name, record in self.items() if name in standing}

    def is_first(self, record_id: str) -> bool:
        """Whether a record corrects none that is here."""
        earlier = self[record_id].replaces
        return earlier is None or record_id in self.void or earlier not in self

    def standing_for(self, record_id: str, seen: frozenset[str] = frozenset()) -> Sequence[str]:
        """The record itself, or what corrects it by now; several where corrections disagree.

        Of two corrections of one record, the one that was corrected in its turn settles it.
        """
        seen |= {record_id}
        later = [name for name in self.replaced_by.get(record_id, ()) if name not in seen]
        settled = [name for name in later if name in self.replaced_by] or later
        return [last for name in settled for last in self.standing_for(name, seen)] or [record_id]

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
        """Records of one kind in force that are of a hull, oldest first: those of a part go with it."""
        return cast("Listed[RecordT]", self._on_hull.get((kind, self.number_of(hull)), ()))

    @cached_property
    def _on_hull(self) -> Mapping[tuple[type[object], str], Listed[Record]]:
        listed: Listed[Trial | Deviation | Weighing]
        listed = (*self.of_kind(Trial), *self.of_kind(Deviation), *self.of_kind(Weighing))
        return _grouped(((type(record), self.hull_of(name)), (name, record)) for name, record in listed)

    def on_copy(self, kind: type[RecordT], copy: str) -> Listed[RecordT]:
        """Records of one kind in force that are of one copy of a part, oldest first."""
        return cast("Listed[RecordT]", self._on_copy.get((kind, copy), ()))

    @cached_property
    def _on_copy(self) -> Mapping[tuple[type[object], str], Listed[Record]]:
        listed = (pair for known in self._on_hull.values() for pair in known)
        return _grouped(
            ((type(record), copy), (name, record))
            for name, record in listed
            if (copy := self.copy_of(name)) is not None
        )

    def hull_of(self, name: str) -> str:
        """The hull that something seen, found or weighed is of: where that part is now, or was last."""
        record = cast("OnPart", self[name])
        copy = self.copy_of(name)
        found = self.copies.get(copy or "")
        return found[0] if found else self.number_of(record.hull)

    def copy_of(self, name: str) -> str | None:
        """The copy of a part that something was seen, found or weighed on; None for a whole craft."""
        record = cast("OnPart", self[name])
        part = record.part if isinstance(record, Weighing) else part_of(record.zone)
        return self.copy_at(record.hull, part, name)

    def copy_at(self, hull: str, part: str, when: str) -> str | None:
        """The copy of a part that was on a hull when a record was written, by the step that began it."""
        stays = self.hull_state(hull).stays_of(part)
        began = [stay for stay in stays[1:] if self._is_before(stay.since, when)]
        return (began or stays[:1])[-1].part.began if stays else None

    def former_copy(self, name: str) -> HullPart | None:
        """The copy that something was seen, found or weighed on, where another has taken its place."""
        found = self.copies.get(self.copy_of(name) or "")
        if found is None:
            return None
        hull, part = found
        return part if self.hull_state(hull).part(part.part) != part else None

    @cached_property
    def copies(self) -> Mapping[str, tuple[str, HullPart]]:
        """Every copy of a part there was, by the step that began it, and the hull it is or was last on."""
        return {
            stay.part.began: (number, stay.part)
            for number, state in self._hull_states.items()
            for stay in state.stays
            if not stay.went_on
        }

    def _is_before(self, step: str, name: str) -> bool:
        """Whether a step came before a record; on lines of which neither saw the other their dates say."""
        step, name = self._first_told(step), self._first_told(name)
        known = self._came_before(step, name) if self._came_before else None
        return self[step].on < self[name].on if known is None else known

    def _first_told(self, name: str) -> str:
        """What a record corrects, however often: when it was written first."""
        seen = {name}
        while (earlier := self[name].replaces) in self and earlier not in seen:
            name = str(earlier)
            seen.add(name)
        return name

    def hull_state(self, hull: str) -> HullState:
        """Where a hull stands by its steps: the whole of it, and every part."""
        number = self.number_of(hull)
        return self._hull_states.get(number) or _not_begun(number)

    @cached_property
    def _steps(self) -> Listed[Step]:
        """Steps by the present numbers of their hulls, each after the one in force."""
        return [(name, self._joined_up(step)) for name, step in self.of_kind(Step)]

    def _joined_up(self, step: Step) -> Step:
        now: dict[str, str | None] = {"hull": self.number_of(step.hull)}
        now["from_hull"] = self.number_of(step.from_hull) if step.from_hull else None
        now["after"] = self.corrected(step.after) if step.after else None
        changed = {key: value for key, value in now.items() if value != getattr(step, key)}
        return step.model_copy(update=changed) if changed else step

    def corrected(self, record: str) -> str:
        """What stands in the place of a record now: its correction's correction, or itself."""
        return self.standing_for(record)[0]

    @cached_property
    def _hull_states(self) -> Mapping[str, HullState]:
        numbers = {step.hull for _, step in self._steps}
        numbers |= {step.from_hull for _, step in self._steps if step.from_hull}
        return hull_states(self._steps, sorted(numbers))

    def steps_of(self, hull: str, part: str | None) -> Listed[Step]:
        """The steps of a part of a hull, or of the whole hull, in the order in which they came."""
        return steps_of(self._steps, self.number_of(hull), part)

    def actions_about(self, subject: str) -> Listed[Action]:
        """What was done about a record or a finding, oldest first."""
        return self._actions.get(subject, ())

    @cached_property
    def _actions(self) -> Mapping[str, Listed[Action]]:
        return _grouped((action.about, (name, action)) for name, action in self.of_kind(Action))

    def decisions_about(self, subject: str) -> Listed[Decision]:
        """Decisions about what one record says, oldest first; that it is as one wrote it decides nothing."""
        return self._decisions.get(subject, ())

    def last_decision(self, subject: str) -> str | None:
        """What was decided last about a record; None where nothing was."""
        decisions = self.decisions_about(subject)
        return decisions[-1][1].decision if decisions else None

    @cached_property
    def _decisions(self) -> Mapping[str, Listed[Decision]]:
        return _grouped(
            (decision.about, (name, decision))
            for name, decision in self.of_kind(Decision)
            if decision.decision != CONFIRMED
        )

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
    def answered_by_change(self) -> frozenset[str]:
        """Nonconformities and verifications that an approved change says it answers."""
        return frozenset(name for change in self.approved_changes.values() for name in change.answers)

    @cached_property
    def _answering(self) -> Mapping[str, Sequence[str]]:
        changes = self.approved_changes.items()
        return _grouped((trial, name) for name, change in changes for trial in dict.fromkeys(change.trials))


@cache
def _not_begun(number: str) -> HullState:
    """Where a hull stands that no step is about."""
    return hull_states((), [number])[number]


KeyT = TypeVar("KeyT")
ValueT = TypeVar("ValueT")


def _grouped(pairs: Iterable[tuple[KeyT, ValueT]]) -> Mapping[KeyT, list[ValueT]]:
    groups: dict[KeyT, list[ValueT]] = {}
    for key, value in pairs:
        groups.setdefault(key, []).append(value)
    return groups
