"""Merges of recipe files where lines alone would mislead."""

import pytest

from recipe_track.textfiles.writing.merge import fenced, is_meant, is_mergeable, merge, merge_lines

PATH = "models/pb98/deck/side.toml"
ZONE = """area_m2 = 1.0
centroid_m = [0.0, 0.0, 0.0]
layup = [
  { material = "csm-300" },
]
[panel]
span_mm = 450
length_mm = 900
edges = "clamped"
pressure_kpa = 18.0
name = "side"
source = "drawing 12"
"""


def test_a_key_that_ends_up_in_another_table_is_not_what_was_meant() -> None:
    """One side opens a table above a line that the other side edits; every version is valid."""
    theirs = ZONE.replace('name = "side"', '[required]\nname = "side"')
    ours = ZONE.replace("drawing 12", "drawing 13")
    versions = [text.encode() for text in (ZONE, ours, theirs)]
    lines = merge_lines(*(version.splitlines(keepends=True) for version in versions))
    assert lines is not None
    assert is_mergeable(PATH, *versions, b"".join(lines))
    assert merge(PATH, *versions) is None


def test_of_two_equal_layers_one_taken_out_and_one_edited_is_a_choice() -> None:
    """Which of the two went cannot be told: it may be the one that was edited."""
    base = [b"gelcoat\n", b"biax\n", b"biax\n", b"core\n"]
    fewer = [b"gelcoat\n", b"biax\n", b"core\n"]
    for edited in (
        [b"gelcoat\n", b"uni\n", b"biax\n", b"core\n"],
        [b"gelcoat\n", b"biax\n", b"uni\n", b"core\n"],
    ):
        assert merge_lines(base, fewer, edited) is None
        assert merge_lines(base, edited, fewer) is None


def test_one_more_of_equal_layers_beside_an_edited_one_is_a_choice() -> None:
    base = [b"biax\n", b"biax\n", b"core\n"]
    assert merge_lines(base, [b"biax\n", *base], [b"biax\n", b"uni\n", b"core\n"]) is None


def test_nothing_goes_between_layers_that_were_exchanged_together() -> None:
    base = [b"a\n", b"b\n", b"c\n"]
    assert merge_lines(base, [b"x\n", b"y\n", b"c\n"], [b"a\n", b"new\n", b"b\n", b"c\n"]) is None


def test_two_lines_for_one_and_a_line_put_in_beside_them_are_a_choice() -> None:
    base = [b"a\n", b"b\n", b"c\n"]
    for at in (1, 2):
        assert merge_lines(base, [b"a\n", b"x\n", b"y\n", b"c\n"], [*base[:at], b"new\n", *base[at:]]) is None


BASE, OURS, THEIRS = ["a", "b", "c"], ["a", "b2", "c"], ["a", "b", "c", "d"]


@pytest.mark.parametrize(
    ("joined", "meant"),
    [
        (["a", "b2", "c", "d"], True),
        (["a", "b2", "c"], False),  # what theirs put in is lost
        (["a", "b", "c", "d"], False),  # what ours edited is lost
        (["a", "b2", "d"], False),  # a row is gone that nobody took out
        (["a", "b2", "c", "d", "e"], False),  # a row came that nobody put in
        (["a", "b2", "c", "d", "d"], False),
    ],
)
def test_what_both_sides_meant(joined: list[str], meant: bool) -> None:
    assert is_meant(BASE, OURS, THEIRS, joined) is meant
    assert is_meant({"layup": BASE}, {"layup": THEIRS}, {"layup": OURS}, {"layup": joined}) is meant


def test_a_last_line_without_an_end_is_kept_whole() -> None:
    assert merge_lines([b"a\n", b"b"], [b"a2\n", b"b"], [b"a\n", b"b\n", b"c"]) == [b"a2\n", b"b\n", b"c"]


def test_the_fence_stands_around_what_differs() -> None:
    text = fenced(b"same\nours 1\nlast", b"same\ntheirs\nlast", 9)
    assert text == b"same\n<<<<<<<<< ours\nours 1\n=========\ntheirs\n>>>>>>>>> theirs\nlast"


def test_the_fence_parts_texts_that_do_not_end_their_last_line() -> None:
    assert fenced(b"a\nb", b"a\nc", 7) == b"a\n<<<<<<< ours\nb\n=======\nc\n>>>>>>> theirs\n"
    assert fenced(b"a\n", b"a\nc", 7) == b"a\n<<<<<<< ours\n=======\nc\n>>>>>>> theirs\n"
