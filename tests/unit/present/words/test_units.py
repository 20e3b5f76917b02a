"""Figures for people carry their unit and, where they are changes, their sign."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from recipe_track.figures.limits import held_against
from recipe_track.present.words import units
from recipe_track.present.words.figures import held_words, requirement_words
from recipe_track.present.words.units import (
    ABSENT,
    limit_words,
    number,
    percent,
    quantity,
    signed,
    signed_quantity,
)


@pytest.mark.parametrize(
    ("key", "value", "shown"),
    [
        ("mass_kg", 35.649, "35.6 kg"),
        ("mass_kg", 5912.3, "5\u202f912.3 kg"),
        ("mass_kg", -0.0001, "0.0 kg"),
        ("fibre_mass_fraction", 0.5, "0.500"),
        ("cost", 412.4, "412 EUR"),
        ("deflection_mm", None, ABSENT),
    ],
)
def test_a_figure_has_its_unit(key: str, value: float | None, shown: str) -> None:
    assert quantity(key, value, "EUR") == shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (4.44, "+4.4"),
        (-4.44, "−4.4"),
        (0.0, "0"),
        (0.002, "+0.002"),
        (-0.00051, "−0.0005"),
        (-9e-7, "0"),
        (None, ABSENT),
    ],
)
def test_a_change_has_its_sign_however_small(value: float | None, shown: str) -> None:
    assert signed("mass_kg", value) == shown


def test_a_change_has_sign_and_unit() -> None:
    assert signed_quantity("cost", -56.2, "EUR") == "−56 EUR"


@pytest.mark.parametrize(
    ("value", "shown"),
    [(14.2, "+14 %"), (-1.26, "−1.3 %"), (0.0, "0 %"), (0.004, "+0.004 %"), (None, ABSENT)],
)
def test_percent(value: float | None, shown: str) -> None:
    assert percent(value) == shown


def test_a_number_never_follows_the_locale() -> None:
    assert number("mass_kg", 1234567.89) == "1\u202f234\u202f567.9"


def test_limits_in_words() -> None:
    assert limit_words("deflection_mm_max") == ("deflection_mm", "at most")
    assert limit_words("ei_y_kn_m2_per_m_min") == ("ei_y_kn_m2_per_m", "at least")
    assert limit_words("lcg_m") == ("lcg_m", "within")


def formatted_numbers(tree: ast.Module) -> Iterator[str]:
    """Format specifications that write a number with decimals, digits or in percent."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FormattedValue) and node.format_spec is not None:
            spec = ast.unparse(node.format_spec).strip("f'\"")
            if re.fullmatch(r"[+,]*(\.\w+)?[efg%]", spec):
                yield spec


def test_numbers_are_written_here_alone() -> None:
    """Coordinates of a drawing are no numbers that anybody reads."""
    package = Path(units.__file__).parents[2]
    rooms = [path for room in ("present", "tui") for path in (package / room).rglob("*.py")]
    found = {
        path.relative_to(package).as_posix()
        for path in rooms
        for _ in formatted_numbers(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert found == {"present/words/units.py", "present/pages/drawing.py"}


def test_a_limit_not_met_is_told_apart_from_its_figure() -> None:
    near = held_against("fibre_kg_m2_min", 0.9, 0.8996)
    assert held_words(near) == ("0.8996 kg/m²", "0.9000 kg/m²")
    assert requirement_words(near) == "fibre 0.8996 kg/m², at least 0.9000 kg/m²: NOT MET"
    assert held_words(held_against("fibre_kg_m2_min", 0.9, 0.8)) == ("0.80 kg/m²", "0.90 kg/m²")
    assert held_words(held_against("tcg_m", (-0.02, 0.02), 0.0203)) == ("0.0203 m", "-0.0200 … 0.0200 m")
    assert held_words(held_against("fibre_kg_m2_min", 0.9, 0.9)) == ("0.90 kg/m²", "0.90 kg/m²")
