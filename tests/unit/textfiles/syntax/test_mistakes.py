"""What people type by mistake, and what they are told; one slip never brings a second problem with it."""

import pytest

from recipe_track.textfiles.meaning.read import read_file

ZONE = "models/pb98/deck/side.toml"
PANEL = '[panel]\nspan_mm = 1\nlength_mm = 1\nedges = "clamped"\npressure_kpa = 1\n'
REST = f"\ncentroid_m = [3.1, 0.0, 1.35]\n{PANEL}"

VALUES = [
    ("1,5", "decimal-comma", "decimal comma in `1,5`", "write 1.5"),
    ("-1,50", "decimal-comma", "decimal comma in `-1,50`", "write -1.50"),
    ("1.234,5", "decimal-comma", "decimal comma in `1.234,5`", "write 1234.5"),
    ("045", "leading-zero", "leading zero in `045`", 'write 45, or "045" between quotes if it is text'),
    ("00.5", "leading-zero", "leading zero in `00.5`", 'write 0.5, or "00.5" between quotes if it is text'),
    (".5", "bare-point", "a digit stands on both sides of the point, not `.5`", "write 0.5"),
    ("5.", "bare-point", "a digit stands on both sides of the point, not `5.`", "write 5.0"),
    (
        "2.4 m2",
        "unit-in-value",
        "a number stands alone, not `2.4 m2`",
        "the unit is in the key: write 2.4 in that unit",
    ),
    (
        "12 %",
        "unit-in-value",
        "a number stands alone, not `12 %`",
        "the unit is in the key: write 12 in that unit",
    ),
    ("1 200", "blank-in-number", "a number has no blanks, not `1 200`", "write 1200"),
    (
        "10.03.2026",
        "date-form",
        "a date is written year-month-day, not `10.03.2026`",
        "for example 2026-03-10",
    ),
    ("True", "true-or-false", "yes or no is written true or false, not `True`", "write true"),
    ("no", "true-or-false", "yes or no is written true or false, not `no`", "write false"),
    ("null", "no-value", "`null` is not a value", "leave the key out where nothing is known"),
    ("-", "no-value", "`-` is not a value", "leave the key out where nothing is known"),
    ("about two", "missing-quotes", "text without quotes: `about two`", 'write "about two"'),
    ("“two”", "curly-quotes", "curly quotes cannot enclose text", 'write "two" with straight quotes'),
    ('"two”', "curly-quotes", "curly quotes cannot enclose text", 'write straight quotes "'),
    ('"two', "unclosed-text", "the text that opens here does not end on its line", 'write " where it ends'),
    (
        '"two },',
        "unclosed-text",
        "the text that opens here does not end on its line",
        'write " where it ends',
    ),
    ("'two", "unclosed-text", "the text that opens here does not end on its line", "write ' where it ends"),
    (
        r'"C:\photos"',
        "bad-escape",
        r"`\p` stands for nothing",
        r"write \\ for a backslash, or put the text between ' and '",
    ),
    (r'"\x41"', "bad-escape", r"`\x41` is not part of TOML 1.0", r"write \u0041"),
    (r'"a\eb"', "bad-escape", r"`\e` is not part of TOML 1.0", r"write \u001B"),
    (r'"\ud800"', "bad-escape", "this text holds an escape that stands for no character", ""),
    ("", "missing-value", "a value is missing here", ""),
    (
        "2.4 2.5",
        "not-a-value",
        "this is not a value",
        "a value is a number, true or false, a date, or text between quotes",
    ),
    (
        "[1, 2",
        "unclosed-list",
        "the list that opens here with `[` never closes",
        "write ] after its last value",
    ),
    (
        "[1 2]",
        "not-a-value",
        "this is not a value",
        "a value is a number, true or false, a date, or text between quotes",
    ),
    (
        "9" * 5000,
        "not-a-value",
        "this is not a value",
        "a value is a number, true or false, a date, or text between quotes",
    ),
    (
        "{ a = 1",
        "unclosed-table",
        "the table that opens here with `{` does not close on its line",
        "write } before the line ends",
    ),
    ("[" * 500 + "]" * 500, "nested-too-deep", "lists and tables are nested too deep", ""),
]


@pytest.mark.parametrize(
    ("value", "code", "message", "hint"), VALUES, ids=[value[:12] for value, *_ in VALUES]
)
def test_a_mistake_in_a_value_is_told_alone(value: str, code: str, message: str, hint: str) -> None:
    model, problems = read_file(ZONE, f"area_m2 = {value}{REST}".encode())
    assert model is None
    assert [one.message for one in problems if "`area_m2`" not in one.message] == [message]
    assert (problems[0].line, problems[0].code) == (1, code)
    assert hint in problems[0].hint


@pytest.mark.parametrize(
    ("value", "code", "message", "hint"), VALUES[:20], ids=[value[:12] for value, *_ in VALUES[:20]]
)
def test_a_mistake_in_a_layer_is_told_at_its_value(value: str, code: str, message: str, hint: str) -> None:
    row = f'  {{ material = "pvc-80", thickness_mm = {value} }},'
    text = f'area_m2 = 1\nlayup = [\n  {{ material = "a" }},\n{row}\n  {{ material = "b" }},\n]{REST}'
    model, problems = read_file(ZONE, text.encode())
    assert model is None
    assert [(one.line, one.code, one.message) for one in problems] == [(4, code, message)]
    assert problems[0].column is not None
    assert row.index(f"= {value}") + 3 <= problems[0].column <= row.index(" },") + 1
    assert hint in problems[0].hint
