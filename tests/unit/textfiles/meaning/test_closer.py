"""A closer look at a file: mistakes of the text and refusals of the model in one list, by place."""

from recipe_track.textfiles.meaning.closer import LONGEST, look_closer
from recipe_track.textfiles.syntax.decoding import decode

ZONE = "models/pb/deck/side.toml"


def test_mistakes_and_refusals_stand_in_the_order_of_the_file() -> None:
    text = b"name = 1\narea_m2 = 1,5\ncentroid_m = [0, 0]\n"
    model, problems = look_closer("zone", ZONE, decode(text))
    assert model is None
    assert [(one.line, one.code, one.key) for one in problems] == [
        (1, "wrong-type", ("name",)),
        (2, "decimal-comma", ()),
        (3, "wrong-length", ("centroid_m",)),
    ]


def test_a_sound_file_of_unusual_syntax_is_read_after_all() -> None:
    model, problems = look_closer("zone", ZONE, decode(b"area_m2 = 1\ncentroid_m = [\n0,\n0,\n0,\n]\n"))
    assert problems == ()
    assert model is not None


def test_a_newer_format_hides_syntax_that_is_not_known_yet() -> None:
    _, problems = look_closer("settings", "recipe-track.toml", decode(b"format = 2\nyard = @new\n"))
    assert [one.code for one in problems] == ["newer-format"]


def test_what_a_message_quotes_is_cut() -> None:
    _, problems = look_closer("zone", ZONE, decode(b"area_m2 = 0" + b"1" * 5000 + b"\n"))
    assert max(len(one.message) for one in problems) <= LONGEST + 1
