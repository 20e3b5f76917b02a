"""What stands between values: statements and headers; one mistake never brings a second problem with it."""

import pytest

from recipe_track.textfiles.meaning.read import read_file

ZONE = "models/pb98/deck/side.toml"
REST = (
    "\ncentroid_m = [3.1, 0.0, 1.35]\n"
    '[panel]\nspan_mm = 1\nlength_mm = 1\nedges = "clamped"\npressure_kpa = 1\n'
)

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
def test_a_mistake_between_values_is_told_at_its_place(
    text: str, line: int, column: int, message: str
) -> None:
    _, problems = read_file(ZONE, (text + REST).encode())
    assert (line, column, message) in [(one.line, one.column, one.message) for one in problems]


def test_a_key_on_an_unreadable_line_is_not_called_missing() -> None:
    _, problems = read_file(ZONE, b"area m2 = 2.4\ncentroid_m 3\n")
    assert [one.message for one in problems] == ["this is not a key", "this is not `key = value`"]
