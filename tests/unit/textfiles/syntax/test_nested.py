"""Lists and tables in braces that do not close, lack a comma, or are written as only TOML 1.1 allows."""

import pytest

from recipe_track.textfiles.meaning.read import read_file

ZONE = "models/pb98/deck/side.toml"
PANEL = '[panel]\nspan_mm = 1\nlength_mm = 1\nedges = "clamped"\npressure_kpa = 1\n'
REST = f"\ncentroid_m = [3.1, 0.0, 1.35]\n{PANEL}"


def test_an_unclosed_layup_is_told_where_it_opens_and_the_rest_is_read() -> None:
    text = 'area_m2 = 1\nlayup = [\n  { material = "a" },\n  { material = "B" },\n' + REST.replace(
        "= 1\n", "= 0\n", 1
    )
    _, problems = read_file(ZONE, text.encode())
    assert [(one.line, one.column, one.message) for one in problems] == [
        (2, 9, "the list that opens here with `[` never closes"),
        (4, 16, '`material` in layer 2 must be an id, not "B"'),
        (8, 11, "`span_mm` in `panel` must be greater than 0, not 0"),
    ]


def test_an_unclosed_list_of_numbers_ends_with_its_line() -> None:
    text = "area_m2 = 1\ncentroid_m = [3.1, 0.0, 1.35\nextent = 3\nformerly = [\n]\n"
    _, problems = read_file(ZONE, text.encode())
    assert [(one.line, one.column, one.message) for one in problems] == [
        (2, 14, "the list that opens here with `[` never closes"),
        (3, 10, "`extent` must be text, not a number"),
    ]


def test_the_bracket_that_stands_too_late_is_not_told_again() -> None:
    _, problems = read_file(ZONE, f"area_m2 = 1\nformerly = [{REST}]\n".encode())
    assert [(one.line, one.column) for one in problems] == [(2, 12)]


def test_a_row_without_its_brace_is_not_said_to_lack_keys() -> None:
    text = 'area_m2 = 1\nlayup = [\n  { plies = 2,\n  { material = "b" },\n]' + REST
    _, problems = read_file(ZONE, text.encode())
    assert [(one.line, one.column) for one in problems] == [(3, 3)]


def test_a_row_without_its_brace_is_told_alone() -> None:
    text = 'area_m2 = 1\nlayup = [\n  { material = "a", plies = 2,\n  { material = "b" },\n]' + REST
    _, problems = read_file(ZONE, text.encode())
    assert [(one.line, one.column) for one in problems] == [(3, 3)]


def test_a_missing_comma_between_rows_is_told_alone() -> None:
    text = 'area_m2 = 1\nlayup = [\n  { material = "a" }\n  { material = "b" },\n]' + REST
    _, problems = read_file(ZONE, text.encode())
    assert [(one.line, one.column, one.message) for one in problems] == [
        (3, 20, "a comma is missing after this")
    ]


NEWER = [
    ("{ force_kn = 1.0,\n side_mm = 100 }", (2, 9), "does not close on its line"),
    ("{ force_kn = 1.0, side_mm = 100, }", (2, 40), "no comma may stand before the `}`"),
    ("{ force_kn = 1.0, side_mm = 100, note = '''a\nb''' }", None, ""),
]


@pytest.mark.parametrize(("patch", "place", "message"), NEWER)
def test_what_only_toml_1_1_allows_is_refused(
    patch: str, place: tuple[int, int] | None, message: str
) -> None:
    panel = PANEL.replace("[panel]", f"[panel]\npatch = {patch}")
    _, problems = read_file(ZONE, panel.encode())
    told = [(one.line, one.column) for one in problems if message and message in one.message]
    assert told == ([place] if place else [])
