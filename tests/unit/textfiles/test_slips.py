"""What people type by mistake, and what they are told; one slip never brings a second problem with it."""

import pytest

from recipe_track.textfiles.meaning.read import read_file

ZONE = "models/pb98/deck/side.toml"
PANEL = '[panel]\nspan_mm = 1\nlength_mm = 1\nedges = "clamped"\npressure_kpa = 1\n'
REST = f"\ncentroid_m = [3.1, 0.0, 1.35]\n{PANEL}"

VALUES = [
    ("1,5", "decimal comma in `1,5`", "write 1.5"),
    ("-1,50", "decimal comma in `-1,50`", "write -1.50"),
    ("1.234,5", "decimal comma in `1.234,5`", "write 1234.5"),
    ("045", "leading zero in `045`", 'write 45, or "045" between quotes if it is text'),
    ("00.5", "leading zero in `00.5`", 'write 0.5, or "00.5" between quotes if it is text'),
    (".5", "a digit stands on both sides of the point, not `.5`", "write 0.5"),
    ("5.", "a digit stands on both sides of the point, not `5.`", "write 5.0"),
    ("2.4 m2", "a number stands alone, not `2.4 m2`", "the unit is in the key: write 2.4 in that unit"),
    ("12 %", "a number stands alone, not `12 %`", "the unit is in the key: write 12 in that unit"),
    ("1 200", "a number has no blanks, not `1 200`", "write 1200"),
    ("10.03.2026", "a date is written year-month-day, not `10.03.2026`", "for example 2026-03-10"),
    ("True", "yes or no is written true or false, not `True`", "write true"),
    ("no", "yes or no is written true or false, not `no`", "write false"),
    ("null", "`null` is not a value", "leave the key out where nothing is known"),
    ("-", "`-` is not a value", "leave the key out where nothing is known"),
    ("about two", "text without quotes: `about two`", 'write "about two"'),
    ("“two”", "curly quotes cannot enclose text", 'write "two" with straight quotes'),
    ('"two”', "curly quotes cannot enclose text", 'write straight quotes "'),
    ('"two', "the text that opens here does not end on its line", 'write " where it ends'),
    ('"two },', "the text that opens here does not end on its line", 'write " where it ends'),
    ("'two", "the text that opens here does not end on its line", "write ' where it ends"),
    (
        r'"C:\photos"',
        r"`\p` stands for nothing",
        r"write \\ for a backslash, or put the text between ' and '",
    ),
    (r'"\x41"', r"`\x41` is not part of TOML 1.0", r"write \u0041"),
    (r'"a\eb"', r"`\e` is not part of TOML 1.0", r"write \u001B"),
    (r'"\ud800"', "this text holds an escape that stands for no character", ""),
    ("", "a value is missing here", ""),
    ("2.4 2.5", "this is not a value", "a value is a number, true or false, a date, or text between quotes"),
    ("[1, 2", "the list that opens here with `[` never closes", "write ] after its last value"),
    ("[1 2]", "this is not a value", "a value is a number, true or false, a date, or text between quotes"),
    ("9" * 5000, "this is not a value", "a value is a number, true or false, a date, or text between quotes"),
    (
        "{ a = 1",
        "the table that opens here with `{` does not close on its line",
        "write } before the line ends",
    ),
    ("[" * 500 + "]" * 500, "lists and tables are nested too deep", ""),
]


@pytest.mark.parametrize(("value", "message", "hint"), VALUES, ids=[value[:12] for value, _, _ in VALUES])
def test_a_slip_in_a_value_is_told_alone(value: str, message: str, hint: str) -> None:
    model, problems = read_file(ZONE, f"area_m2 = {value}{REST}".encode())
    assert model is None
    assert [one.message for one in problems if "`area_m2`" not in one.message] == [message]
    assert problems[0].line == 1
    assert hint in problems[0].hint


@pytest.mark.parametrize(
    ("value", "message", "hint"), VALUES[:20], ids=[value[:12] for value, _, _ in VALUES[:20]]
)
def test_a_slip_in_a_layer_is_told_at_its_value(value: str, message: str, hint: str) -> None:
    row = f'  {{ material = "pvc-80", thickness_mm = {value} }},'
    text = f'area_m2 = 1\nlayup = [\n  {{ material = "a" }},\n{row}\n  {{ material = "b" }},\n]{REST}'
    model, problems = read_file(ZONE, text.encode())
    assert model is None
    assert [(one.line, one.message) for one in problems] == [(4, message)]
    assert problems[0].column is not None
    assert row.index(f"= {value}") + 3 <= problems[0].column <= row.index(" },") + 1
    assert hint in problems[0].hint


STATEMENTS = [
    ("area_m2 = 2.4   length_m = 3", 1, 17, "each key stands on its own line"),
    ("area_m2 = 2.4,", 1, 14, "nothing but a comment may follow the value"),
    ("area_m2: 2.4", 1, 8, "`=` stands between a key and its value, not `:`"),
    ("area_m2 = 2.4\nextent", 2, 1, "`extent` has no value"),
    ("area_m2 = 2.4\ngröße = 3", 2, 1, "this is not a key"),
    ("area_m2 = 2.4\n“note” = 3", 2, 1, "curly quotes cannot enclose a key"),
    ("area_m2 = 2.4\nno comment", 2, 1, "this is not `key = value`"),
    ("area_m2 = 2.4\n}", 2, 1, "this `}` closes nothing"),
    ("area_m2 = 2.4\narea_m2 = 2.5", 2, 1, "`area_m2` is given twice"),
    ("area_m2 = 2.4\n[required\n", 2, 1, "this table header is not closed"),
    ('area_m2 = 2.4\npanel = { edges = "clamped" }', 4, 2, "`panel` is given twice"),
    ('area_m2 = 2.4\nnote = """no end', 2, 8, 'the text that opens here with """ never ends'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "column", "message"), STATEMENTS)
def test_a_slip_between_values_is_told_at_its_place(text: str, line: int, column: int, message: str) -> None:
    _, problems = read_file(ZONE, (text + REST).encode())
    assert (line, column, message) in [(one.line, one.column, one.message) for one in problems]


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


def test_a_key_on_an_unreadable_line_is_not_called_missing() -> None:
    _, problems = read_file(ZONE, b"area m2 = 2.4\ncentroid_m 3\n")
    assert [one.message for one in problems] == ["this is not a key", "this is not `key = value`"]


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
