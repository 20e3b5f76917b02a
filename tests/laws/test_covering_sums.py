"""A law against a count: where nothing was found, a file holds the sum of what landed on it, and nothing else.

Each change adds a number to one line of a file; a revert is a change that takes it off. So whatever the walk
says that landed, the numbers must add up; and what an independent count says is a landing must not be found.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import reduce

from hypothesis import event, given
from hypothesis import strategies as st

from recipe_track.trail import Verdict
from tests.unit.trail.stories import ZONE, Story

SLOTS = 3
Content = tuple[int, ...]
EMPTY: Content = (0,) * SLOTS


def text(content: Content) -> bytes:
    """A line for each number, with lines between that nobody touches."""
    return "".join(
        f"value {n} = {value}\nkept {n}\nkept, too {n}\n" for n, value in enumerate(content)
    ).encode()


@dataclass(frozen=True)
class Addition:
    """A change to one line: from one number to another."""

    name: str
    slot: int
    before: int
    after: int

    def onto(self, content: Content) -> Content | None:
        """Carried by a clean merge, which does something."""
        return put(content, self.slot, self.after) if content[self.slot] == self.before else None

    def added_to(self, content: Content) -> Content:
        """The sum, whatever was there."""
        return put(content, self.slot, content[self.slot] + self.after - self.before)


def put(content: Content, slot: int, value: int) -> Content:
    return (*content[:slot], value, *content[slot + 1 :])


@dataclass
class Counted:
    """A history with a count of its own: what landed in each commit's ancestry, and where it was leant on."""

    story: Story
    additions: dict[str, Addition]
    content: dict[str, Content] = field(default_factory=dict)
    parents: dict[str, tuple[str, ...]] = field(default_factory=dict)
    landed: dict[str, frozenset[str]] = field(default_factory=dict)
    doubtful: set[str] = field(default_factory=set)  # leant on, or a merge that needs a hand, or after one

    def commit(
        self, parents: tuple[str, ...], content: Content, landed: frozenset[str], doubtful: bool
    ) -> str:
        name = f"c{len(self.content)}"
        self.story.commit(name, parents, side=text(content))
        self.content[name], self.parents[name], self.landed[name] = content, parents, landed
        if doubtful or any(parent in self.doubtful for parent in parents):
            self.doubtful.add(name)
        return name

    def ancestry(self, name: str) -> set[str]:
        return reduce(set.union, (self.ancestry(parent) for parent in self.parents[name]), {name})

    def sum_of(self, names: frozenset[str]) -> Content:
        return reduce(lambda content, name: self.additions[name].added_to(content), sorted(names), EMPTY)


ADDITIONS = st.lists(
    st.tuples(st.integers(0, SLOTS - 1), st.sampled_from([1, 2, 4])), min_size=2, max_size=5, unique=True
)
ACTS = st.lists(
    st.tuples(
        st.sampled_from(["land"] * 5 + ["merge"] * 4 + ["tamper", "drop", "replay"]),
        st.integers(0, 99), st.integers(0, 99),
    ),
    min_size=3, max_size=14,
)  # fmt: skip


@st.composite
def histories(draw: st.DrawFn) -> Counted:
    """Changes from nothing to a number and back, landed, merged and leant on in any order."""
    story, additions = Story(), {}
    for slot, value in draw(ADDITIONS):
        for name, before, after in ((f"C-{slot}{value}", 0, value), (f"R-{slot}{value}", value, 0)):
            additions[name] = Addition(name, slot, before, after)
            base = put(EMPTY, slot, before)
            story.change(name, story.edit(text(base), text(put(base, slot, after))))
    counted = Counted(story, additions)
    counted.commit((), EMPTY, frozenset(), False)
    for kind, one, other in draw(ACTS):
        step(counted, kind, one, other)
    heads = [name for name in counted.content if all(name not in up for up in counted.parents.values())]
    for head in heads[1:]:  # one tip that contains everything; it is judged as doubtful
        last = list(counted.content)[-1]
        if head != last:
            meet(counted, last, head, "merge")
    return counted


def step(counted: Counted, kind: str, one: int, other: int) -> None:
    names = list(counted.content)
    here = names[-1 - one % min(3, len(names))]
    content, landed = counted.content[here], counted.landed[here]
    if kind in ("merge", "drop"):
        meet(counted, here, names[other % len(names)], kind)
    elif kind == "tamper":
        counted.commit((here,), put(content, other % SLOTS, 50 + other), landed, True)
    else:
        wanted = [a for a in counted.additions.values() if (a.name in landed) == (kind == "replay")]
        fitting = [a for a in wanted if a.onto(content) is not None]
        if fitting:
            chosen = fitting[other % len(fitting)]
            after = chosen.onto(content)
            assert after is not None
            counted.commit((here,), after, landed | {chosen.name}, kind == "replay")


def meet(counted: Counted, one: str, other: str, kind: str) -> None:
    """A merge by the count: the sum of all that landed, where each line was changed by one side alone."""
    if one in counted.ancestry(other) or other in counted.ancestry(one):
        return
    union = counted.landed[one] | counted.landed[other]
    wanted = counted.sum_of(union)
    doubtful = kind == "drop" or any(not _by_one_side(counted, one, other, slot) for slot in range(SLOTS))
    result = counted.content[one] if kind == "drop" else wanted
    counted.commit((one, other), result, union, (doubtful and result != wanted) or doubtful)


def _by_one_side(counted: Counted, one: str, other: str, slot: int) -> bool:
    left, right = (
        {name for name in counted.landed[side] if counted.additions[name].slot == slot}
        for side in (one, other)
    )
    return left <= right or right <= left


def landed_by(verdict: Verdict, counted: Counted, name: str) -> frozenset[str]:
    """What the walk says has landed in a commit's ancestry."""
    behind = counted.ancestry(name)
    return frozenset(
        change
        for change, landings in verdict.landings.items()
        if any(landing.commit in behind for landing in landings)
    )


def found_in(verdict: Verdict) -> Mapping[str, int]:
    return {commit: 1 for finding in verdict.findings for commit in finding.commits}


@given(histories())
def test_where_nothing_was_found_the_file_is_the_sum_of_what_landed(counted: Counted) -> None:
    verdict = counted.story.verdict()
    found = found_in(verdict)
    quiet = [name for name in counted.content if not counted.ancestry(name) & found.keys()]
    event(f"quiet commits: {len(quiet) * 4 // len(counted.content)} quarters")
    for name in quiet:
        assert counted.content[name] == counted.sum_of(landed_by(verdict, counted, name)), name


@given(histories())
def test_what_the_count_calls_a_landing_is_not_found(counted: Counted) -> None:
    found = found_in(counted.story.verdict())
    assert [name for name in counted.content if name not in counted.doubtful and name in found] == []


@given(histories())
def test_the_walk_and_the_count_agree_on_what_landed(counted: Counted) -> None:
    verdict = counted.story.verdict()
    for name in counted.content.keys() - counted.doubtful:
        assert landed_by(verdict, counted, name) == counted.landed[name], name


def test_the_file_of_these_laws_is_governed() -> None:
    assert ZONE.startswith("models/")
