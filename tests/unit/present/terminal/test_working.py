"""The calculation sheet as text and as Markdown."""

import re

from recipe_track.figures.working import CalculationSheet, Chapter, Line, Value, working_of
from recipe_track.present.terminal.working import working_markdown, working_text
from recipe_track.present.words.figures import CAUTION
from recipe_track.present.words.units import digits
from tests.recipes import case

HOSTILE = "<script>alert(1)</script> [x](javascript:1) `code` | \x1b[31mred\x1b[0m \u202ereversed\n# heading"
PANEL = {"span_mm": 450, "length_mm": 900, "edges": "clamped", "pressure_kpa": 18.0}
REAL = working_of(case([{"material": "biax-800"}, {"material": "pvc-80", "thickness_mm": 9}], panel=PANEL))


def sheet(*lines: Line, name: str | None = None) -> CalculationSheet:
    return CalculationSheet("hull/bottom", name, "plate", (Chapter("Part", lines, "a book"),), ("a note",))


def test_a_derived_line_shows_formula_numbers_and_result() -> None:
    line = Line("along", 36.93201, "GPa", "E1", "{φ} · {Ef}", (Value("φ", 0.48), Value("Ef", 73.0, "GPa")))
    assert "   along: E1 = φ · Ef = 0.48 · 73 = 36.932 GPa\n" in working_text(sheet(line))


def test_a_negative_number_stands_in_brackets() -> None:
    line = Line("z", -2.5, "mm", "z0", "{a} / {b}", (Value("a", -5.0), Value("b", 2.0)))
    assert "z: z0 = a / b = (−5) / 2 = −2.5 mm" in working_text(sheet(line))


def test_an_input_shows_its_source() -> None:
    assert "density: 2560 kg/m³ [a data sheet]" in working_text(
        sheet(Line("density", 2560.0, "kg/m³", source="a data sheet"))
    )


def test_a_matrix_stands_in_rows_with_its_unit() -> None:
    text = working_text(sheet(Line("in its plane", ((1.0, -2.0), (-2.0, 30.0)), "N/mm", "A", "Σ Q̄ t")))
    assert "   in its plane: A = Σ Q̄ t\n       [  1  −2 ]\n       [ −2  30 ]  N/mm\n" in text


def test_six_digits_are_enough_to_redo_it() -> None:
    assert digits(1234567.0) == "1.23457e+06"
    assert digits(0.0001234567) == "0.000123457"


def test_the_text_fits_eighty_columns() -> None:
    assert max(map(len, working_text(REAL).splitlines())) <= 80


def test_notes_and_caution_close_the_sheet() -> None:
    text = " ".join(working_text(REAL).split())
    assert text.endswith(CAUTION)
    assert "note: no required minima recorded" in text


def test_text_typed_by_people_steers_no_terminal() -> None:
    text = working_text(sheet(Line(HOSTILE, HOSTILE, HOSTILE, source=HOSTILE), name=HOSTILE))
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", text)
    assert "<script>" in text  # plain text stays as it was typed


def test_text_typed_by_people_is_no_markdown() -> None:
    markdown = working_markdown(sheet(Line(HOSTILE, HOSTILE, HOSTILE, source=HOSTILE), name=HOSTILE))
    assert "<script" not in markdown.replace("\\<", "")
    assert "](" not in markdown.replace("\\]\\(", "")
    assert not re.search(r"(?<!\\)`", markdown)
    assert len([line for line in markdown.splitlines() if line.startswith("- \\<script")]) == 1
    assert not re.search(r"(?<!\\)\|", markdown)


def test_markdown_has_a_heading_per_section_and_a_table_for_many_lines_of_one_formula() -> None:
    markdown = working_markdown(REAL)
    assert markdown.startswith("# Calculation sheet of hull/bottom \\(plate\\)\n")
    assert len(re.findall("^## [0-9]", markdown, re.MULTILINE)) == len(REAL.sections)
    assert "m \\= A · \\(1 \\+ o\\) · n · c · w\n\n|  | A" in markdown


E1 = [
    Line(name, 2 * phi, "GPa", "E1", "{φ} · {Ef}", (Value("φ", phi), Value("Ef", 2.0, "GPa")))
    for name, phi in (("mat", 0.15), ("biax", 0.5))
]


def test_lines_of_one_formula_stand_in_a_table_below_it() -> None:
    text = working_text(sheet(*E1))
    assert (
        "   E1 = φ · Ef\n            φ     Ef [GPa]  E1 [GPa]\n      mat   0.15         2       0.3\n" in text
    )


def test_stated_values_stand_with_their_symbols() -> None:
    assert "   pvc: ρ = 80 kg/m³; G = 28 MPa\n" in working_text(
        sheet(Line("pvc", None, inputs=(Value("ρ", 80.0, "kg/m³"), Value("G", 28.0, "MPa"))))
    )


def test_from_memory_is_said_once() -> None:
    bare = REAL.__class__(
        *(getattr(REAL, name) for name in ("zone", "name", "form", "sections", "notes", "references"))
    )
    assert " ".join(working_text(bare).split()).count("memory") == 1
    assert working_markdown(bare).count("memory") == 1
