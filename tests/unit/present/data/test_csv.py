"""Tables as comma-separated values: read back as written, nothing a spreadsheet would evaluate."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.present.data.csv import csv_text
from recipe_track.present.words.plain import visible

# What a spreadsheet takes for the start of a formula (OWASP, "CSV injection").
FORMULAS = ["=1+1", "+1", "-1+cmd|' /C calc'!A0", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1"]


def read(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


@pytest.mark.parametrize("formula", FORMULAS)
def test_a_formula_becomes_text(formula: str) -> None:
    assert read(csv_text(["a"], [[formula]]))[1][0].startswith("'")


def test_numbers_stay_numbers_even_below_zero() -> None:
    assert read(csv_text(["a", "b", "c"], [[-1.5, 0.1, None]]))[1] == ["-1.5", "0.1", ""]


def test_lines_end_as_rfc_4180_says() -> None:
    assert csv_text(["a", "b"], [["x,y", 'say "no"']]) == 'a,b\r\n"x,y","say ""no"""\r\n'


@given(st.lists(st.text(), min_size=2, max_size=4))
def test_any_text_is_read_back_as_visible_text_in_its_own_cell(texts: list[str]) -> None:
    rows = read(csv_text([str(n) for n in range(len(texts))], [texts]))
    assert len(rows) == 2
    for cell, text in zip(rows[1], texts, strict=True):
        assert cell.removeprefix("'") == visible(text).removeprefix("'")
        assert not cell.lstrip().startswith(("=", "+", "-", "@"))
