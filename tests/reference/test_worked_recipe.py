"""The worked recipe: illustrative, independently calculated from the definitions of the figures.

Its expected values were computed apart from this project; relative tolerance 1e-6, panel deflection 0.5 %.
"""

import json
from typing import Any

import pytest

from recipe_track.figures.craft import figures_of
from recipe_track.figures.results import ModelFigures
from tests.recipes import WORKED, read_recipe

EXPECTED: dict[str, Any] = json.loads((WORKED / "expected.json").read_text(encoding="utf-8"))
ZONE_KEYS = [(zone, key) for zone, values in EXPECTED["zones"].items() for key in values]


@pytest.fixture(scope="module")
def ours() -> ModelFigures:
    return figures_of(read_recipe(WORKED), "demo")


def close(expected: Any, key: str) -> Any:
    if expected is None:
        return None
    return pytest.approx(expected, rel=5e-3 if key == "deflection_mm" else 1e-6, abs=1e-12)


@pytest.mark.parametrize(("zone", "key"), ZONE_KEYS)
def test_figures_of_zones(ours: ModelFigures, zone: str, key: str) -> None:
    figures = next(z for z in ours.zones if z.zone == zone)
    expected = EXPECTED["zones"][zone][key]
    if key == "laminate":
        for name, rows in expected.items():
            for mine, row in zip(getattr(figures.laminate, name), rows, strict=True):
                # terms that cancel to nothing are held to 1e-6 of the greatest term
                assert mine == pytest.approx(row, rel=1e-6, abs=1e-9 * max(map(max, rows)))
    else:
        assert getattr(figures, key) == close(expected, key)


@pytest.mark.parametrize("key", list(EXPECTED["craft"]))
def test_figures_of_the_craft(ours: ModelFigures, key: str) -> None:
    assert getattr(ours.craft, key) == close(EXPECTED["craft"][key], key)


def test_mass_of_the_full_craft(ours: ModelFigures) -> None:
    full = next(c for c in ours.craft.conditions if c.name == "full")
    assert full.mass_kg == close(EXPECTED["craft_full"]["mass_kg"], "mass_kg")
