"""The calculation sheet as a page to hand over."""

import re

from recipe_track.figures.working import CalculationSheet, Chapter, Line, Value, working_of
from recipe_track.figures.working.weights import COSTS
from recipe_track.present.pages.working_page import Head, symbol, working_page
from tests.recipes import case

HOSTILE = "<script>alert(1)</script> & \x1b[31m"
HEAD = Head("North Quay", "Pilot boat", "r7 (0123456789 of 2026-03-10)")
PANEL = {"span_mm": 450, "length_mm": 900, "edges": "clamped", "pressure_kpa": 18.0}
REAL = working_of(case([{"material": "biax-800"}, {"material": "pvc-80", "thickness_mm": 9}], panel=PANEL))


def page(*lines: Line, title: str = "Given") -> str:
    sheet = CalculationSheet("hull/bottom", None, "plate", (Chapter(title, lines),), ("a note",))
    return working_page([sheet], HEAD)


def test_an_equation_shows_symbols_powers_numbers_and_result() -> None:
    line = Line("along", 8.0, "GPa", "E1", "{Ef}^2 · {φ}", (Value("Ef", 4.0, "GPa"), Value("φ", 0.5)))
    equation = (
        "<i>E</i><sub>1</sub> = <i>E</i><sub>f</sub><sup>2</sup> · <i>φ</i> = 4<sup>2</sup> · 0.5 = 8 GPa"
    )
    assert f"along: {equation}</p>" in page(line)


def test_symbols_have_their_index_low() -> None:
    assert symbol("E1°") == "<i>E</i><sub>1</sub>°"
    assert symbol("EAx") == "<i>EA</i><sub>x</sub>"
    assert symbol("use") == "<i>use</i>"


def test_formulas_for_the_same_plies_share_one_table() -> None:
    drawn = working_page([REAL], HEAD)
    thickness = drawn[drawn.index("Plies: thickness") : drawn.index("Plies: moduli")]
    assert thickness.count("<table") == 1
    assert len(re.findall("<span>", thickness)) == 3  # m, t and φ


def test_a_page_carries_its_revision_places_to_sign_and_no_costs() -> None:
    drawn = working_page([REAL], HEAD)
    assert "Pilot boat · r7 (0123456789 of 2026-03-10)" in drawn
    assert all(f"<td>{who}</td>" in drawn for who in ("calculated", "checked", "surveyor"))
    assert "Costs are no part of this sheet." in drawn
    assert "9 EUR" not in page(Line("cost", 9.0, "EUR", "C"), title=COSTS)


def test_text_typed_by_people_is_no_markup() -> None:
    line = Line(HOSTILE, HOSTILE, HOSTILE, HOSTILE, inputs=(Value(HOSTILE, 1.0, HOSTILE),))
    hostile = CalculationSheet(
        HOSTILE, HOSTILE, "plate", (Chapter(HOSTILE, (line, line), HOSTILE),), (HOSTILE,)
    )
    drawn = working_page([hostile], Head(HOSTILE, HOSTILE, HOSTILE))
    assert "<script" not in drawn
    assert "\x1b" not in drawn
