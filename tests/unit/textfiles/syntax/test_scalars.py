"""One value behind its key, and where reading goes on after it."""

from typing import Any

import pytest

from recipe_track.textfiles.syntax.cursor import Cursor
from recipe_track.textfiles.syntax.scalars import bare, curly, quoted


@pytest.mark.parametrize(
    ("text", "where", "value", "rest"),
    [
        ("1.5 # mm", "statement", 1.5, "# mm"),
        ("1, 2]", "list", 1, ", 2]"),
        ("1,5 }", "row", 1.5, " }"),  # a decimal comma: the number that was meant
        ("2 b = 3", "statement", 2, " b = 3"),  # two keys on one line
        ("07:30", "statement", None, ""),
    ],
)
def test_a_bare_value_ends_where_it_was_meant_to(text: str, where: str, value: Any, rest: str) -> None:
    cursor = Cursor(text, valid=False)
    read = bare(cursor, ("a",), where)
    if value is not None:
        assert read == value
    assert text[cursor.pos :].lstrip() == rest.lstrip()


def test_a_text_without_an_end_leaves_the_brackets_that_close_behind_it() -> None:
    cursor = Cursor('"steel },\nnext = 1', valid=False)
    assert quoted(cursor, ("a",)) is None
    assert cursor.text[cursor.pos :].startswith(" },")
    assert cursor.doubtful == {("a",)}


def test_curly_quotes_give_the_text_that_was_meant() -> None:
    cursor = Cursor("“two” # x", valid=False)
    assert curly(cursor, ("a",)) == "two"
    assert [one.code for one in cursor.mistakes] == ["curly-quotes"]
