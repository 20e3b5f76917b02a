"""A text that is broken: its mistakes told once, and what only follows from one of them recognised."""

import pytest

from recipe_track.errors import Fault, Key
from recipe_track.textfiles.syntax.decoding import decode
from recipe_track.textfiles.syntax.parsing import follows, parse


def test_a_refusal_of_the_parser_is_told_only_where_nothing_else_explains_it() -> None:
    assert [one.code for one in parse(decode(b"a = 1,5\n")).mistakes] == ["decimal-comma"]
    assert [one.code for one in parse(decode(b"a = 1979-02-30\n")).mistakes] == ["date-form"]
    assert parse(decode(b"a = 1\n")).mistakes == ()


@pytest.mark.parametrize(
    ("text", "key", "follows_from_it"),
    [
        ("a = 1,5\n", ("a",), True),  # its value is not what was written
        ("a = 1,5\nb = 2\n", ("b",), False),
        ("no key\n", ("b",), True),  # perhaps written on the line that cannot be read
        ("[t]\nno key\n", ("t", "b"), True),
        ("[t]\nno key\n", ("b",), False),
        ('a = """no end\n', ("b",), True),  # perhaps written in what was swallowed
        ("a = [1,5x]\n", ("a",), True),  # nobody knows how many values it was to have
    ],
)
def test_what_follows_from_a_mistake_is_not_told_as_another(
    text: str, key: Key, follows_from_it: bool
) -> None:
    assert follows(Fault("f.toml", key, "code", "wrong"), parse(decode(text.encode()))) is follows_from_it
