"""Encoding, byte order mark, control characters and conflict markers: told where they are, and read past."""

import pytest

from recipe_track.errors import Problem
from recipe_track.recipe.layup import Zone
from recipe_track.textfiles.meaning.read import read_file

ZONE = "models/pb98/deck/side.toml"
SOUND = b'name = "Side deck"\narea_m2 = 2.4\ncentroid_m = [3.1, 0.0, 1.35]\n'


def _told(data: bytes) -> list[tuple[int | None, int | None, str]]:
    model, problems = read_file(ZONE, data)
    assert model is None
    return [(one.line, one.column, one.message) for one in problems]


def test_a_sound_file_is_read_with_either_line_end() -> None:
    model, problems = read_file(ZONE, SOUND)
    assert isinstance(model, Zone)
    assert (model.area_m2, model.centroid_m, problems) == (2.4, (3.1, 0.0, 1.35), ())
    assert read_file(ZONE, SOUND.replace(b"\n", b"\r\n")) == (model, ())


def test_a_byte_order_mark_stands_at_the_first_character() -> None:
    assert _told(b"\xef\xbb\xbf" + SOUND) == [(1, 1, "the file starts with a byte order mark")]


def test_a_byte_order_mark_hides_nothing_and_shifts_no_column() -> None:
    told = _told(b"\xef\xbb\xbf" + SOUND.replace(b'"Side deck"', b"3"))
    assert told[1:] == [(1, 8, "`name` must be text, not a number")]


def test_a_byte_order_mark_is_not_shown() -> None:
    assert read_file(ZONE, b"\xef\xbb\xbf" + SOUND)[1][0].excerpt == 'name = "Side deck"'


def test_bytes_that_are_not_utf8_are_placed_by_line_and_character() -> None:
    latin = SOUND.replace(b"Side", "é".encode() + b" gro\xdf").replace(b"2.4", b"-2.4")
    assert _told(latin) == [
        (1, 14, "the byte 0xDF cannot be read as UTF-8"),
        (2, 11, "`area_m2` must be greater than 0, not -2.4"),
    ]


def test_utf16_is_told_once() -> None:
    assert _told(SOUND.decode().encode("utf-16")) == [(1, 1, "this is not UTF-8 text")]


@pytest.mark.parametrize("char", ["\x00", "\x1b", "\x7f", "\x0b"])
def test_control_characters_are_told_and_not_repeated(char: str) -> None:
    model, (problem,) = read_file(ZONE, SOUND.replace(b"Side", b"Side" + char.encode()))
    assert model is None
    assert (problem.line, problem.column) == (1, 13)
    assert problem.message == f"control character U+{ord(char):04X}"
    assert char not in problem.excerpt


def test_a_lone_carriage_return_is_a_control_character() -> None:
    assert _told(SOUND.replace(b"\narea", b"\rarea"))[0] == (1, 19, "control character U+000D")


def test_text_quoted_in_a_message_cannot_steer_a_terminal() -> None:
    data = SOUND + b'form = "\\u001b[31m\\u202e"\n'
    assert _told(data) == [(4, 8, '`form` must be plate, stiffener or joint, not "\\u001B[31m\\u202E"')]


CONFLICT = b"""\
name = "Side deck"
<<<<<<< HEAD
area_m2 = 2.4
||||||| 3f2a1b0
area_m2 = 2.3
=======
area_m2 = -2.5
>>>>>>> change/C-2M9XQ4
centroid_m = [3.1, 0.0]
"""


def test_every_conflict_marker_is_told_and_the_first_side_is_read_on() -> None:
    assert _told(CONFLICT) == [
        (2, 1, "conflict marker <<<<<<<"),
        (4, 1, "conflict marker |||||||"),
        (6, 1, "conflict marker ======="),
        (8, 1, "conflict marker >>>>>>>"),
        (9, 14, "`centroid_m` must be 3 numbers, not 2"),
    ]


def test_a_conflict_says_how_to_resolve_it() -> None:
    problems: tuple[Problem, ...] = read_file(ZONE, CONFLICT)[1]
    assert "keep one side" in problems[0].hint


def test_a_marker_left_over_alone_is_told() -> None:
    assert _told(SOUND + b"=======\n") == [(4, 1, "conflict marker =======")]


def test_a_row_of_equal_signs_inside_a_text_is_no_conflict() -> None:
    model, problems = read_file(ZONE, SOUND + b'note = """\nSplit\n=======\nas drawn"""\n')
    assert (model is not None, problems) == (True, ())
