"""The state of one walk over a text."""

from recipe_track.textfiles.syntax.cursor import ASSIGN, Cursor, key_parts, scalar


def test_a_place_that_was_given_up_tells_no_more_mistakes() -> None:
    cursor = Cursor("a b c\nd\n", valid=False)
    cursor.report_here("first", "wrong")
    cursor.give_up_line()
    cursor.report(2, 3, "second", "follows from it")
    cursor.report(6, 6, "third", "wrong again")
    assert [(one.code, one.start, one.length) for one in cursor.mistakes] == [
        ("first", 0, 1),
        ("third", 6, 1),
    ]


def test_a_dotted_key_has_a_place_for_each_part() -> None:
    match = ASSIGN.match('a."b c" . d = 1')
    assert match is not None
    assert key_parts(match, 1) == [("a", (0, 1)), ("b c", (2, 7)), ("d", (10, 11))]


def test_a_token_is_a_value_only_as_a_whole() -> None:
    assert [scalar(token) for token in ("1_000", "'x'", "1 2", "x", "")] == [1000, "x", None, None, None]
