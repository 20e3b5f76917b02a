"""How keys and values are called in a message."""

from typing import Any

import pytest

from recipe_track.errors import Key
from recipe_track.recipe.craft import Prices
from recipe_track.recipe.layup import Zone
from recipe_track.textfiles.meaning.naming import alternatives, fields_at, inside, plain, shown


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ((), ""),
        (("layup", 3), " in layer 4"),
        (("condition", 0), " in condition 1"),
        (("panel", "patch"), " in `panel.patch`"),
        (("materials", "e\x1b x"), ' in `materials."e\\u001B x"`'),
    ],
)
def test_a_table_is_called_by_its_row_or_its_keys(path: Key, text: str) -> None:
    assert inside(path) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(True, "true"), ("a\x07", '"a\\u0007"'), ([1], "a list"), ({}, "a table"), (2.5, "2.5")],
)
def test_a_value_is_shown_on_one_line(value: Any, text: str) -> None:
    assert shown(value) == text


def test_long_text_is_cut() -> None:
    assert plain("x" * 100, 3) == "xxx…"


def test_alternatives_read_as_a_sentence() -> None:
    assert [alternatives(["a", "b", "c"][:n]) for n in (1, 2, 3)] == ["a", "a or b", "a, b or c"]


def test_keys_are_known_within_rows_and_free_where_people_choose_them() -> None:
    assert "material" in fields_at(Zone, ("layup", 0))
    assert "span_mm" in fields_at(Zone, ("panel",))
    assert fields_at(Prices, ("materials",)) == []
    assert "per_kg" in fields_at(Prices, ("materials", "paint"))
    assert fields_at(Zone, ("nowhere",)) == []
