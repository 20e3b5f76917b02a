"""A law of joining lines: what git joins cleanly is among our clean merges, `git merge-file` being asked."""

import subprocess
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given
from hypothesis import strategies as st

from recipe_track.trail.joining import joins

LINES = st.lists(
    st.sampled_from([f"{letter}\n".encode() for letter in "abcdefghijkl"]), min_size=4, max_size=14
)


@st.composite
def edited(draw: st.DrawFn, base: Sequence[bytes]) -> list[bytes]:
    """A text with one or two lines exchanged, put in, doubled or taken out."""
    lines = list(base)
    for _ in range(draw(st.integers(1, 2))):
        at = draw(st.integers(0, len(lines)))
        taken, put = draw(st.integers(0, 1)), draw(st.lists(st.sampled_from([b"x\n", *base]), max_size=1))
        lines[at : at + taken] = put
    return lines


@st.composite
def triples(draw: st.DrawFn) -> tuple[bytes, bytes, bytes]:
    """A text and what two people made of it."""
    base = draw(LINES)
    return b"".join(base), b"".join(draw(edited(base))), b"".join(draw(edited(base)))


@given(triples())
def test_what_git_joins_is_a_clean_merge(versions: tuple[bytes, bytes, bytes]) -> None:
    with TemporaryDirectory() as folder:
        for name, content in zip(("base", "ours", "theirs"), versions, strict=True):
            (Path(folder) / name).write_bytes(content)
        done = subprocess.run(
            ["git", "merge-file", "-p", "ours", "base", "theirs"],
            cwd=folder,
            capture_output=True,
            check=False,
        )
    if done.returncode == 0:
        assert done.stdout in list(joins(*versions))


@given(triples())
def test_sides_may_be_exchanged(versions: tuple[bytes, bytes, bytes]) -> None:
    base, ours, theirs = versions
    assert set(joins(base, ours, theirs)) == set(joins(base, theirs, ours))


@given(triples())
def test_a_side_that_did_nothing_gives_the_other(versions: tuple[bytes, bytes, bytes]) -> None:
    base, ours, _ = versions
    assert set(joins(base, ours, base)) == set(joins(base, base, ours)) == {ours}
