"""Edits of whole lines, seen as the lines they take away and put in."""

from collections.abc import Callable
from datetime import date
from difflib import ndiff

import pytest

from recipe_track.errors import Refused
from recipe_track.textfiles.writing.edit import append_table, set_row, set_value

HULL = """\
#:schema ../.schemas/hull.schema.json
model = "pb98"   # the craft
status = "in-build"

[[part]]
part = "hull" # the shell
revision = "r7"
state = "in-mould"   # since Monday

[[part]]
part = "deck"
revision = "r6"
"""
BRACES = 'x = { a = 1, b = [1,\n  2] } # both\npart = [ { part = "a" }, {} ]\nd.e = 1\n'


def _changes(before: str, after: str) -> list[str]:
    lines = ndiff(before.splitlines(keepends=True), after.splitlines(keepends=True))
    return [line for line in lines if line.startswith(("+", "-"))]


def test_a_part_gets_new_values_and_keeps_its_comments() -> None:
    values = {"revision": "r8", "state": "fitted", "on": date(2026, 5, 2)}
    assert _changes(HULL, set_row(HULL, "part", {"part": "hull"}, values)) == [
        '- revision = "r7"\n', '+ revision = "r8"\n',
        '- state = "in-mould"   # since Monday\n', '+ state = "fitted"   # since Monday\n',
        "+ on = 2026-05-02\n",
    ]  # fmt: skip


def test_a_part_that_is_new_is_added_at_the_end() -> None:
    added = set_row(HULL, "part", {"part": "cabin"}, {"revision": "r8", "commit": None})
    assert added == HULL + '\n[[part]]\npart = "cabin"\nrevision = "r8"\n'


def test_carriage_returns_stay_and_are_used() -> None:
    edited = set_row(
        HULL.replace("\n", "\r\n"), "part", {"part": "deck"}, {"state": "planned", "note": "a\nb"}
    )
    expected = HULL + 'state = "planned"\nnote = "a\\nb"\n'
    assert edited == expected.replace("\n", "\r\n")


@pytest.mark.parametrize(
    ("text", "after"),
    [
        (HULL, HULL.replace('"in-build"\n', '"in-build"\nnote = "x"\n')),
        ("#:schema x\n# c\n[a]\nb = 1", '#:schema x\n# c\nnote = "x"\n[a]\nb = 1'),
        ("a = 1", 'a = 1\nnote = "x"\n'),
        ("", 'note = "x"\n'),
        ('a = """\n[b]\n"""\n[c]\n', 'a = """\n[b]\n"""\nnote = "x"\n[c]\n'),
    ],
)
def test_a_new_key_of_the_file_stands_behind_its_last_one(text: str, after: str) -> None:
    assert set_value(text, ("note",), "x") == after


def test_a_table_in_braces_is_edited_within_its_braces() -> None:
    assert set_value(BRACES, ("x", "c"), 2) == BRACES.replace("2] }", "2], c = 2 }")
    assert set_value(BRACES, ("x", "b"), [3]) == BRACES.replace("[1,\n  2]", "[3]")
    assert set_value(BRACES, ("part", 1, "s"), 1) == BRACES.replace("{}", "{ s = 1 }")


REFUSED: list[tuple[Callable[[], str], str]] = [
    (lambda: append_table(BRACES, "part", {"a": 1}), "`part` is not written as [[part]] tables"),
    (lambda: set_value(HULL, ("part",), 2), "`part` is a table of its own"),
    (lambda: set_value(BRACES + "[z]\n", ("d", "f"), 2), "the file cannot be edited without changing more"),
    (
        lambda: set_row(HULL + '[[part]]\npart = "hull"\n', "part", {"part": "hull"}, {}),
        "2 [[part]] tables match",
    ),
]


@pytest.mark.parametrize(("edit", "message"), REFUSED)
def test_what_cannot_be_edited_by_lines_is_refused(edit: Callable[[], str], message: str) -> None:
    with pytest.raises(Refused) as caught:
        edit()
    assert caught.value.message.startswith(message)
    assert caught.value.hint
