"""Laws of the three-way merge, on lines as such and on whole zone files."""

import subprocess
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from recipe_track.textfiles.writing.merge import is_mergeable, merge, merge_lines

PATH = "models/pb98/deck/side.toml"
FEW_LINES = st.lists(st.sampled_from([b"a\n", b"b\n", b"c\n", b"d\n"]), max_size=7)
LAYERS = st.builds(
    lambda material, rest: f'  {{ material = "{material}", {rest} }},\n',
    st.sampled_from(["biax-800", "uni-600", "csm-300"]),
    st.sampled_from(["plies = 1", "plies = 2", "angle_deg = 45", "angle_deg = 90", "flipped = true"]),
)
LAYUPS = st.lists(LAYERS, min_size=1, max_size=6)


@st.composite
def edited(draw: st.DrawFn, layup: Sequence[str]) -> list[str]:
    """A layup with a few lines exchanged, put in or taken out."""
    new = list(layup)
    for _ in range(draw(st.integers(0, 2))):
        at = draw(st.integers(0, len(new)))
        taken = draw(st.integers(0, 1))
        new[at : at + taken] = draw(st.lists(LAYERS, max_size=1))
    return new


@st.composite
def triples(draw: st.DrawFn) -> tuple[bytes, bytes, bytes]:
    """A zone and what two people made of it, both in its layup and in the keys above."""
    layup = draw(LAYUPS)
    areas = draw(st.sampled_from([(1.0, 1.0, 1.0), (1.0, 1.5, 1.0), (1.0, 1.5, 1.5), (1.0, 1.5, 2.0)]))
    versions = (layup, draw(edited(layup)), draw(edited(layup)))
    base, ours, theirs = map(zone_text, versions, areas)
    return base, ours, theirs


def zone_text(layup: Sequence[str], area: float) -> bytes:
    return f"area_m2 = {area}\ncentroid_m = [0.0, 0.0, 0.0]\nlayup = [\n{''.join(layup)}]\n".encode()


def git_merge(base: bytes, ours: bytes, theirs: bytes) -> bytes | None:
    """What git itself makes of it, None for a conflict."""
    with TemporaryDirectory() as folder:
        for name, content in (("base", base), ("ours", ours), ("theirs", theirs)):
            (Path(folder) / name).write_bytes(content)
        done = subprocess.run(
            ["git", "merge-file", "-p", "ours", "base", "theirs"],
            cwd=folder, capture_output=True, check=False,
        )  # fmt: skip
    return done.stdout if done.returncode == 0 else None


@given(FEW_LINES, FEW_LINES)
def test_a_side_that_did_nothing_gives_the_other(base: list[bytes], side: list[bytes]) -> None:
    assert merge_lines(base, base, side) == side
    assert merge_lines(base, side, base) == side


@given(FEW_LINES, FEW_LINES)
def test_the_same_edit_counts_once(base: list[bytes], side: list[bytes]) -> None:
    assert merge_lines(base, side, side) == side


@given(FEW_LINES, FEW_LINES, FEW_LINES)
def test_sides_may_be_exchanged(base: list[bytes], ours: list[bytes], theirs: list[bytes]) -> None:
    assert merge_lines(base, ours, theirs) == merge_lines(base, theirs, ours)


@given(triples())
def test_no_line_is_dropped_that_neither_side_took_out(versions: tuple[bytes, bytes, bytes]) -> None:
    """Counted without looking at order: what a side added is there, and gone is only what a side took out."""
    base, ours, theirs = (version.splitlines() for version in versions)
    joined = merge_lines(base, ours, theirs)
    n, o, t, j = (Counter(lines) for lines in (base, ours, theirs, joined or ()))
    for line in {*n, *o, *t, *j} if joined is not None else ():
        by_ours, by_theirs = o[line] - n[line], t[line] - n[line]
        assert j[line] - n[line] >= min(by_ours, by_theirs, by_ours + by_theirs)
        assert j[line] - n[line] <= max(by_ours, by_theirs, by_ours + by_theirs)


def test_drawn_versions_are_often_merged_and_often_not() -> None:
    """The laws above that hold for merges only are not empty."""
    outcomes: list[bool] = []

    @settings(max_examples=100, database=None, derandomize=True)
    @given(triples())
    def draw(versions: tuple[bytes, bytes, bytes]) -> None:
        outcomes.append(merge(PATH, *versions) is not None)

    draw()
    assert 20 < sum(outcomes) < 90


@given(st.lists(st.integers(0, 3), min_size=1, max_size=9))
def test_edits_of_different_lines_commute(marks: list[int]) -> None:
    """Every line is edited by one side at most, neighbours included: both edits are there, nothing else."""
    base = [b"%d\n" % n for n in range(len(marks))]
    mine = {1: "ours", 2: "theirs"}
    edited_by = {
        side: [line if mine.get(m) != side else b"new %d\n" % n for n, (m, line) in enumerate(zip(marks, base, strict=True))]
        for side in ("ours", "theirs")
    }  # fmt: skip
    expected = [
        b"new %d\n" % n if m in mine else line for n, (m, line) in enumerate(zip(marks, base, strict=True))
    ]
    assert merge_lines(base, edited_by["ours"], edited_by["theirs"]) == expected


@given(st.integers(2, 8), st.data())
def test_one_line_taken_out_and_edited_is_a_conflict(size: int, data: st.DataObject) -> None:
    base = [b"%d\n" % n for n in range(size)]
    at = data.draw(st.integers(0, size - 1))
    without = base[:at] + base[at + 1 :]
    altered = [*base[:at], b"altered\n", *base[at + 1 :]]
    assert merge_lines(base, without, altered) is None


@given(st.integers(0, 8), st.data())
def test_two_things_put_in_at_one_place_are_a_conflict(size: int, data: st.DataObject) -> None:
    base = [b"%d\n" % n for n in range(size)]
    at = data.draw(st.integers(0, size))
    assert merge_lines(base, [*base[:at], b"x\n", *base[at:]], [*base[:at], b"y\n", *base[at:]]) is None


@given(triples())
def test_a_merged_zone_is_valid_and_symmetric(versions: tuple[bytes, bytes, bytes]) -> None:
    base, ours, theirs = versions
    assert is_mergeable(PATH, *versions)
    joined = merge(PATH, base, ours, theirs)
    assert joined == merge(PATH, base, theirs, ours)
    if joined is not None:
        assert is_mergeable(PATH, joined)
    assert merge(PATH, base, base, theirs) == theirs
    assert merge(PATH, base, ours, ours) == ours


@given(triples())
def test_where_git_needs_no_choice_the_result_is_gits(versions: tuple[bytes, bytes, bytes]) -> None:
    """Git's own merge is the judge: finer where git conflicts, stricter perhaps, never another text."""
    by_git, joined = git_merge(*versions), merge(PATH, *versions)
    if by_git is not None and joined is not None:
        assert joined == by_git
