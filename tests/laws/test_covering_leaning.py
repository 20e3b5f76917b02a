"""A law: whoever leans on the record is found wherever it was carried to, in the middle of honest work."""

import random
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.laws.clones import Yard, act, copy, noises, start
from tests.laws.leaning import MARKER, WAYS

MORE_THAN = 2  # each of twelve ways takes its share of the profile's examples
BEFORE = ("change", "change", "sync", "take over", "rename", "line ends")
AFTER = ("change", "sync", "sync", "merge", "take over")
NUMBERS = (st.integers(0, 2), st.integers(0, 199), st.integers(0, 63))
Step = tuple[str, int, int, int]


@pytest.fixture(scope="module")
def template() -> Iterator[Yard]:
    with TemporaryDirectory() as folder:
        yield start(Path(folder) / "yard")


def unnoticed(
    template: Yard, folder: Path, way: str, before: list[Step], leant: tuple[int, int, int], after: list[Step]
) -> list[str]:
    """Whose main holds what was done without a finding that names it."""
    yard = copy(template, folder / "yard")
    for step in before:
        act(yard, *step)
    actor, at, how = leant
    done = WAYS[way](yard.clones[actor], at, how)
    if done is None:
        return []
    assert (yard.clones[actor].root / MARKER).exists() or way in (
        "amended_approval",
        "added_commit",
        "undecided",
    )
    for step in after:
        act(yard, *step)
    needed = (MARKER, done.above)
    holders = [clone for clone in yard.clones if all((clone.root / path).exists() for path in needed)]
    verdicts = {clone.who: yard.verdict(clone) for clone in holders}
    return [f"{who}: {noises(verdict)}" for who, verdict in verdicts.items() if not done.shows(verdict)]


@pytest.mark.parametrize("way", WAYS)
@given(
    before=st.lists(st.tuples(st.sampled_from(BEFORE), *NUMBERS), max_size=2),
    leant=st.tuples(*NUMBERS),
    after=st.lists(st.tuples(st.sampled_from(AFTER), *NUMBERS), max_size=3),
)
@settings(
    max_examples=max(MORE_THAN, settings().max_examples // 12),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_leaning_on_the_record_is_found(
    template: Yard, way: str, before: list[Step], leant: tuple[int, int, int], after: list[Step]
) -> None:
    with TemporaryDirectory() as folder:
        assert unnoticed(template, Path(folder), way, before, leant, after) == []


def main(first: int, last: int) -> None:
    """Lean on the record as a range of seeds says."""
    with TemporaryDirectory() as folder:
        template = start(Path(folder) / "yard")
        for seed in range(first, last):
            draw = random.Random(seed)
            numbers = lambda draw=draw: (draw.randrange(3), draw.randrange(200), draw.randrange(64))  # noqa: E731
            before = [(draw.choice(BEFORE), *numbers()) for _ in range(draw.randrange(3))]
            after = [(draw.choice(AFTER), *numbers()) for _ in range(draw.randrange(4))]
            way = draw.choice(sorted(WAYS))
            with TemporaryDirectory() as place:
                for line in unnoticed(template, Path(place), way, before, numbers(), after):
                    print(seed, way, line)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
