"""A law: whatever honest people do with ordinary git in three clones, nothing is found and nothing is missing.

Stories are random; `HYPOTHESIS_PROFILE=long` tells many more, and
`python -m tests.laws.test_covering_honest FIRST LAST` tells those of a range of seeds, without shrinking.
"""

import random
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.laws.clones import Yard, act, copy, noises, start

ONE_IN = 3  # a story on real repositories costs a third of a second: a third of the profile's examples
KINDS = ("change", "sync", "take over", "merge", "take back", "rename", "line ends", "twice", "rework")
OFTEN = ("change",) * 4 + ("sync",) * 4 + KINDS[2:]
Step = tuple[str, int, int, int]
STEPS = st.tuples(st.sampled_from(OFTEN), st.integers(0, 2), st.integers(0, 199), st.integers(0, 63))


@pytest.fixture(scope="module")
def template() -> Iterator[Yard]:
    with TemporaryDirectory() as folder:
        yield start(Path(folder) / "yard")


def told(template: Yard, story: Sequence[Step], folder: Path) -> Yard:
    """A story played out on its own clones."""
    yard = copy(template, folder / "yard")
    for step in story:
        act(yard, *step)
    return yard


@given(story=st.lists(STEPS, min_size=3, max_size=9))
@settings(
    max_examples=settings().max_examples // ONE_IN,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_honest_work_in_three_clones_provokes_nothing(template: Yard, story: list[Step]) -> None:
    with TemporaryDirectory() as folder:
        yard = told(template, story, Path(folder))
        for clone in yard.clones:
            assert not any(noises(yard.verdict(clone)).values()), clone.who


@given(story=st.lists(STEPS, min_size=3, max_size=6))
@settings(
    max_examples=settings().max_examples // (2 * ONE_IN),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_clones_in_step_agree_to_the_letter(template: Yard, story: list[Step]) -> None:
    with TemporaryDirectory() as folder:
        yard = told(template, story, Path(folder))
        for clone in yard.clones:
            clone.git("fetch", "--quiet", "origin")
        verdicts = [yard.verdict(clone, "origin/main") for clone in yard.clones]
        assert verdicts[0] == verdicts[1] == verdicts[2]


def main(first: int, last: int) -> None:
    """Tell the stories of a range of seeds."""
    with TemporaryDirectory() as folder:
        template = start(Path(folder) / "yard")
        for seed in range(first, last):
            draw = random.Random(seed)
            story = [
                (draw.choice(OFTEN), draw.randrange(3), draw.randrange(200), draw.randrange(64))
                for _ in range(draw.randrange(3, 14))
            ]
            with TemporaryDirectory() as place:
                yard = told(template, story, Path(place))
                for clone in yard.clones:
                    found = noises(yard.verdict(clone))
                    if any(found.values()):
                        print(seed, clone.who, found, story)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
