"""What a hull went through: its steps in order, and where each part and the whole hull stand."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from typing import get_args

from recipe_track.recipe.craft import Hull
from recipe_track.recipe.records import HullStatus, PartState, Step

PART_STATES: tuple[str, ...] = get_args(PartState)
HULL_STATES: tuple[str, ...] = get_args(HullStatus)
STARTED = ("in-mould", "demoulded", "fitted")  # what lies in a mould keeps its release; only these carry it
OPEN = ("planned", "kit-cut")  # what is not in a mould yet may still be built to another release

Steps = Sequence[tuple[str, Step]]


@dataclass(frozen=True, slots=True)
class HullPart:
    """One part of a hull as it stands: which copy of it, how far it is, built to which release.

    `done` are changes carried out on the built part; `came_from` is the hull it was first made for; `began`
    is the step that began this very copy, wherever it goes from there.
    """

    part: str
    copy: int
    state: str
    revision: str
    commit: str
    on: date
    step: str
    done: tuple[str, ...] = ()
    came_from: str | None = None
    began: str = ""

    @property
    def is_started(self) -> bool:
        """Whether it lies, or has lain, in a mould: it carries its release."""
        return self.state in STARTED

    @property
    def built_to(self) -> str:
        """`r6`, or `r6 with C-…` where changes were carried out on the built part."""
        return f"{self.revision} with {', '.join(self.done)}" if self.done else self.revision


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Two or more steps after the same one that say different things, and that nobody has settled."""

    hull: str
    part: str | None
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stay:
    """A copy of a part on a hull: the step it came there with, how it stood last, and whether it went on."""

    since: str
    part: HullPart
    went_on: bool = False


@dataclass(frozen=True, slots=True)
class HullState:
    """Where a hull stands: the whole of it, its parts, and the steps that disagree.

    `stays` are every copy of a part that was there, those of a part in the order in which they came.
    """

    number: str
    state: str
    step: str | None
    parts: tuple[HullPart, ...]
    disagreements: tuple[Disagreement, ...]
    stays: tuple[Stay, ...] = ()

    def part(self, name: str) -> HullPart | None:
        """The part of that name, in its present copy."""
        return next((part for part in self.parts if part.part == name), None)

    def stays_of(self, part: str) -> tuple[Stay, ...]:
        """The copies of one part that were there, one after the other."""
        return tuple(stay for stay in self.stays if stay.part.part == part)


def renumbered(hulls: Mapping[str, Hull]) -> dict[str, str]:
    """The old number of a hull → its new one."""
    return {hull.was: number for number, hull in hulls.items() if hull.was}


def hull_states(steps: Iterable[tuple[str, Step]], numbers: Iterable[str]) -> dict[str, HullState]:
    """Every hull of those numbers, out of all steps in force."""
    lines = _lines(steps)
    return {number: _state(number, lines) for number in numbers}


def steps_of(steps: Iterable[tuple[str, Step]], hull: str, part: str | None) -> tuple[tuple[str, Step], ...]:
    """The steps of a part of a hull, or of the whole hull, in the order in which they came."""
    ordered, _ = _ordered(_lines(steps).get((hull, part), []))
    return tuple(ordered)


def _lines(steps: Iterable[tuple[str, Step]]) -> dict[tuple[str, str | None], list[tuple[str, Step]]]:
    """Steps by hull and part; one that takes a part from a hull belongs to that hull's line, too."""
    lines: dict[tuple[str, str | None], list[tuple[str, Step]]] = {}
    for name, step in steps:
        lines.setdefault((step.hull, step.part), []).append((name, step))
        if step.from_hull is not None and step.from_hull != step.hull:
            lines.setdefault((step.from_hull, step.part), []).append((name, step))
    return lines


def _state(number: str, lines: Mapping[tuple[str, str | None], Steps]) -> HullState:
    whole, parted = _ordered(lines.get((number, None), ()))
    disagreements = [Disagreement(number, None, names) for names in parted]
    parts: list[HullPart] = []
    stays: list[Stay] = []
    for hull, part in sorted(key for key in lines if key[0] == number and key[1] is not None):
        ordered, parted = _ordered(lines[hull, part])
        disagreements += [Disagreement(number, part, names) for names in parted]
        found = _stays(str(part), number, ordered, lines)
        parts += [stay.part for stay in found[-1:]]
        stays += found
    last = whole[-1] if whole else None
    return HullState(
        number, last[1].state if last else "planned", last[0] if last else None,
        tuple(parts), tuple(disagreements), tuple(stays),
    )  # fmt: skip


def _stays(
    name: str, number: str, ordered: Steps, lines: Mapping[tuple[str, str | None], Steps]
) -> list[Stay]:
    """The copies of a part on a hull, each as it stood last: every step adds to what stood before it."""
    stays: list[Stay] = []
    for step_id, step in ordered:
        before = stays[-1].part if stays else None
        taken = step.hull != number  # by another hull: here it is planned again
        if taken:
            part = _planned_again(step_id, before)
        elif step.from_hull is not None:
            part = _taken(name, step_id, step, before, lines)
        else:
            part = _moved_on(name, step_id, step, before)
        if part is not None and before is not None and part.began == before.began:
            stays[-1] = replace(stays[-1], part=part)
        elif part is not None:
            stays = [*stays[:-1], *(replace(stay, went_on=taken) for stay in stays[-1:]), Stay(step_id, part)]
    return stays


def _planned_again(step_id: str, part: HullPart | None) -> HullPart | None:
    if part is None:
        return None
    return replace(
        part, copy=part.copy + 1, state="planned", done=(), step=step_id, came_from=None, began=step_id
    )


def _moved_on(name: str, step_id: str, step: Step, part: HullPart | None) -> HullPart | None:
    if part is None:
        if step.revision is None or step.commit is None:
            return None
        return HullPart(
            name, 1, step.state, step.revision, step.commit, step.on, step_id, step.done, began=step_id
        )
    fresh = part.state == "scrapped"
    released = step.revision is not None and (step.revision, step.commit) != (part.revision, part.commit)
    kept = () if fresh or released else part.done
    return replace(
        part,
        copy=part.copy + 1 if fresh else part.copy,
        state=step.state,
        revision=step.revision or part.revision,
        commit=step.commit or part.commit,
        on=step.on,
        step=step_id,
        done=tuple(dict.fromkeys((*kept, *(() if released else step.done)))),
        came_from=None if fresh else part.came_from,
        began=step_id if fresh else part.began,
    )


def _taken(
    name: str, step_id: str, step: Step, own: HullPart | None,
    lines: Mapping[tuple[str, str | None], Steps],
) -> HullPart | None:  # fmt: skip
    """The part as it was on the hull it came from, up to this step."""
    giver = str(step.from_hull)
    ordered, _ = _ordered(lines.get((giver, step.part), ()))
    told = [known for known, _ in ordered]
    # Of two hulls that took it after the same step one is not in the line: up to there it was the giver's.
    upto = told.index(step_id) if step_id in told else told.index(step.after) + 1 if step.after in told else 0
    stays = _stays(name, giver, ordered[:upto], lines)
    if not stays:
        return own
    was = stays[-1].part
    copy = own.copy + 1 if own is not None and own.state not in OPEN else own.copy if own else 1
    moved = _moved_on(name, step_id, step, replace(was, came_from=was.came_from or giver))
    return replace(moved, copy=copy) if moved is not None else None


def _ordered(steps: Steps) -> tuple[list[tuple[str, Step]], list[tuple[str, ...]]]:
    """Steps along `after`, and those that disagree: followers of one step that say different things.

    Steps alike after the same one are one step told twice, and what follows either follows both.
    """
    known = dict(steps)
    followers: dict[str | None, list[str]] = {}
    for name in known:
        followers.setdefault(_before(name, known), []).append(name)
    ordered: list[str] = []
    parted: list[tuple[str, ...]] = []
    for begun in _beginnings(followers.get(None, []), known):
        here = [name for name in begun if name not in ordered]
        while here:
            alike, differing = _next(sorted(here), followers, known)
            parted += [differing] if differing else []
            ordered += alike
            here = [later for name in alike for later in followers.get(name, ()) if later not in ordered]
    return [(name, known[name]) for name in ordered], parted


def _before(name: str, known: Mapping[str, Step]) -> str | None:
    before = known[name].after
    return before if before in known and before != name else None


def _beginnings(names: Iterable[str], known: Mapping[str, Step]) -> list[list[str]]:
    """Where lines begin: what was planned here first, then what came from elsewhere, one by one."""
    here = [name for name in names if known[name].after is None and known[name].from_hull is None]
    others = sorted(
        {*names} - {*here}, key=lambda name: (known[name].from_hull is not None, known[name].on, name)
    )
    return [here, *([name] for name in others)]


def _next(
    here: Sequence[str], followers: Mapping[str | None, Sequence[str]], known: Mapping[str, Step]
) -> tuple[list[str], tuple[str, ...]]:
    """The step that counts, however often it was told; where several differ, they are named, too.

    It is the one gone on from with a note, else the furthest.
    """
    settled = [name for name in here if _is_settled(name, followers, known)]
    chosen = next(iter(settled), None) or max(here, key=lambda n: (_how_far(known[n].state), known[n].on, n))
    alike = [name for name in here if _content(known[name]) == _content(known[chosen])]
    return alike, () if settled or len(alike) == len(here) else tuple(here)


def _is_settled(name: str, followers: Mapping[str | None, Sequence[str]], known: Mapping[str, Step]) -> bool:
    return any((known[later].note or "").strip() for later in followers.get(name, ()))


def _content(step: Step) -> tuple[object, ...]:
    return step.hull, step.state, step.revision, step.commit, step.done, step.from_hull


def _how_far(state: str) -> int:
    return (PART_STATES if state in PART_STATES else HULL_STATES).index(state)


def goes_back(before: str, after: str) -> bool:
    """Whether a state lies before another one: a step that needs a note."""
    states = PART_STATES if before in PART_STATES and after in PART_STATES else HULL_STATES
    if before not in states or after not in states or before == "scrapped":
        return False
    return states.index(after) < states.index(before)


def steps_back(steps: Iterable[tuple[str, Step]], hull: str, part: str | None) -> Iterator[str]:
    """The steps of a line that go back without a note."""
    for (_, before), (name, after) in pairwise(steps_of(steps, hull, part)):
        if goes_back(before.state, after.state) and not (after.note or "").strip():
            yield name
