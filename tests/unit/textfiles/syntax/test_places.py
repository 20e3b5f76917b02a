"""The place of a fault: the key, the value, or the nearest thing that exists."""

import pytest

from recipe_track.errors import Fault, Key
from recipe_track.textfiles.syntax.places import locate, positions
from tests.laws.work import calls_of

TEXT = """\
name = "Deck" # not = here
layup = [
  { material = "a", plies = 2 },
  { material = "b" },   # , { material = "c" }
]
[panel]
patch = { force_kn = 1.0 }
[[mass]]
at_m = [1,
  2, 3]
[[mass]]
b.c = 1
note = \"\"\"
x
\"\"\"
"""

PLACES: list[tuple[Key, str, tuple[int, int, int]]] = [
    (("name",), "value", (1, 8, 6)),
    (("name",), "key", (1, 1, 4)),
    (("layup",), "value", (2, 9, 1)),
    (("layup", 0), "value", (3, 3, 29)),
    (("layup", 0, "plies"), "key", (3, 21, 5)),
    (("layup", 0, "plies"), "value", (3, 29, 1)),
    (("layup", 1, "thickness_mm"), "value", (4, 3, 18)),
    (("layup", 7), "value", (2, 9, 1)),
    (("panel",), "value", (6, 1, 7)),
    (("panel",), "key", (6, 2, 5)),
    (("panel", "span_mm"), "value", (6, 1, 7)),
    (("panel", "patch", "side_mm"), "value", (7, 9, 18)),
    (("mass", 0, "at_m", 2), "value", (10, 6, 1)),
    (("mass", 1), "value", (11, 1, 8)),
    (("mass", 1, "item"), "value", (11, 1, 8)),
    (("mass", 1, "b", "c"), "key", (12, 3, 1)),
    (("mass", 1, "note"), "value", (13, 8, 3)),
    (("area_m2",), "value", (1, 1, 1)),
    ((), "value", (1, 1, 1)),
]


@pytest.mark.parametrize(("key", "at", "place"), PLACES)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_fault_stands_at_its_key_its_value_or_its_parent(
    key: Key, at: str, place: tuple[int, int, int], end: str
) -> None:
    problem = locate(
        Fault("f.toml", key, "code", "wrong", "hint", "key" if at == "key" else "value"),
        TEXT.replace("\n", end).encode(),
    )
    assert (problem.line, problem.column, problem.length) == place
    assert problem.excerpt == ("" if key in ((), ("area_m2",)) else TEXT.split("\n")[place[0] - 1])
    assert (problem.file, problem.message, problem.hint) == ("f.toml", "wrong", "hint")


def test_columns_count_characters() -> None:
    place = positions('x = ["é😀", 2]\n')[("x", 1)].value
    assert (place.line, place.column, place.length, place.start) == (1, 12, 1, 11)


@pytest.mark.parametrize("end", ["", "\n", "\n\n", "  # why"])
def test_a_fault_in_a_file_cut_inside_braces_is_located(end: str) -> None:
    text = f'area_m2 = 1,5\nlayup = [\n  {{ material = "a" }},\n  {{ material = "b",{end}'
    problem = locate(Fault("f.toml", ("layup", 0, "material"), "code", "wrong"), text.encode())
    assert (problem.line, problem.column) == (3, 16)


def test_text_taken_for_valid_that_is_not_ends() -> None:
    for text in ("a = {", "a = {\n", "a = { b = 1,\n", "a = [{\n#", "a = [{ b = {\n"):
        calls_of(lambda text=text: positions(text), 5_000)  # type: ignore[misc]


def test_a_fault_behind_a_byte_order_mark_stands_where_an_editor_shows_it() -> None:
    problem = locate(Fault("f.toml", ("b",), "code", "wrong"), b"\xef\xbb\xbfa = 1\nb = 2\n")
    assert (problem.line, problem.column, problem.excerpt) == (2, 5, "b = 2")
