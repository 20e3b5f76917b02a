"""A law: whatever honest people do with the program and plain git, clones in step agree, and nothing is found.

And whoever puts one other byte into a governed file, a record or a hull file by an ordinary commit is found.
Stories are random; `HYPOTHESIS_PROFILE=long` tells many more, and
`python -m tests.laws.test_trail_holds FIRST LAST` tells those of a range of seeds, without shrinking.
"""

import random
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.laws.working import ACTS, OFTEN, Act, Story, answers, tamper, told

ONE_IN = 4  # a story takes three seconds
STEPS = st.tuples(st.sampled_from(OFTEN), st.integers(0, 2), st.integers(0, 999))


def check(story: Story, seed: int) -> None:
    """The law, of a story that is told."""
    first, *rest = [answers(story, clone) for clone in story.clones]
    assert first["audit"]["findings"] == [], first["audit"]["findings"]
    for clone, other in zip(story.clones[1:], rest, strict=True):
        for name, said in first.items():
            assert other[name] == said, f"{clone.who}: {name}"
    draw = random.Random(seed)
    for few in (True, True, False):
        check_tampered(story, draw, few)


def check_tampered(story: Story, draw: random.Random, few: bool) -> None:
    """One other byte is a finding about that file, and names who committed it."""
    clone = story.clones[draw.randrange(3)]
    before = clone.head()
    paths = tamper(clone, draw, few)
    said = clone("audit", "--json")
    if said.status == 2 and "see `main_branch` in recipe-track.toml" in said.err:
        clone.git("reset", "--quiet", "--hard", before)
        return  # no branch can be called that: every command says so
    assert said.status == 1, (said.err, clone.run("show", "--format=", "-U0", "--text").stdout)
    found = said.json["findings"]
    own = {one["file"] for one in found if one["commit"] == clone.head()}
    lost = sorted(set(paths) - own)
    assert not lost, (lost, clone.run("show", "--format=", "-U0", "--text", "--", *lost).stdout)
    clone.git("reset", "--quiet", "--hard", before)


@given(seed=st.integers(0, 9999), story=st.lists(STEPS, min_size=4, max_size=8))
@settings(
    max_examples=settings().max_examples // ONE_IN,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_the_trail_holds(seed: int, story: list[Act]) -> None:
    with TemporaryDirectory() as folder:
        check(told(Path(folder), seed, story), seed)


def drawn_story(seed: int) -> Sequence[Act]:
    """The acts of a seed."""
    draw = random.Random(seed)
    length = draw.randrange(4, 16)
    return [(draw.choice(OFTEN), draw.randrange(3), draw.randrange(1000)) for _ in range(length)]


def main(first: int, last: int) -> None:
    """Tell the stories of a range of seeds, and say which acts the program refused."""
    refused = done = 0
    for seed in range(first, last):
        acts = drawn_story(seed)
        with TemporaryDirectory() as folder:
            try:
                story = told(Path(folder), seed, acts)
                refused, done = refused + len(story.refused), done + len(acts)
                check(story, seed)
            except Exception:
                print(seed, acts, traceback.format_exc()[-2000:], sep="\n  ", flush=True)
    print(f"{last - first} stories of {len(ACTS)} kinds of acts: {done} done, {refused} refused")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
