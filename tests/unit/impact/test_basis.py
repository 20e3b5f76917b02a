"""What required minima rest on, and whether it changed."""

from typing import Any

import pytest

from recipe_track.impact.basis import basis_changes, layup_changed
from recipe_track.recipe.layup import Zone
from tests.recipes import WORKED, read_recipe

RECIPE = read_recipe(WORKED)
SIDE = RECIPE.models["demo"].parts["deck"].zones["side"]


def with_panel(**keys: Any) -> Zone:
    assert SIDE.panel is not None
    return SIDE.model_copy(update={"panel": SIDE.panel.model_copy(update=keys)})


@pytest.mark.parametrize(
    ("keys", "word"),
    [
        ({"span_mm": 460.0}, "span"),
        ({"length_mm": 1300.0}, "length"),
        ({"span_axis": "x"}, "span axis"),
        ({"pressure_kpa": 20.0}, "pressure"),
        ({"edges": "simply-supported"}, "edges"),
    ],
)
def test_the_panel_is_part_of_the_basis(keys: dict[str, Any], word: str) -> None:
    assert basis_changes(SIDE, with_panel(**keys), RECIPE.materials, RECIPE.materials) == (word,)


def test_a_panel_that_comes_or_goes_is_a_change_of_basis() -> None:
    gone = SIDE.model_copy(update={"panel": None})
    assert basis_changes(SIDE, gone, RECIPE.materials, RECIPE.materials) == ("panel",)


@pytest.mark.parametrize(
    ("name", "keys", "said"),
    [
        ("pvc-80", {"g_mpa": 27.0}, ("core pvc-80",)),
        ("csm-300", {"areal_mass_g_m2": 310.0}, ("fabric csm-300",)),
        (
            "e-glass",
            {"e_axial_gpa": 72.0},
            ("fibre e-glass of csm-300", "fibre e-glass of biax-800", "fibre e-glass of wr-600"),
        ),
        ("pvc-80", {"supplier": "another", "board_m2": 2.0, "note": "x"}, ()),
        ("gelcoat", {"density_kg_m3": 1300.0}, ()),
    ],
)
def test_data_of_core_fabric_and_fibre_are_part_of_it(
    name: str, keys: dict[str, Any], said: tuple[str, ...]
) -> None:
    materials = {**RECIPE.materials, name: RECIPE.materials[name].model_copy(update=keys)}
    assert basis_changes(SIDE, SIDE, RECIPE.materials, materials) == said


def test_a_layup_changes_by_what_works_not_by_what_is_said_of_it() -> None:
    first, *rest = SIDE.layup
    noted = SIDE.model_copy(update={"layup": (first.model_copy(update={"note": "spray"}), *rest)})
    thicker = SIDE.model_copy(update={"layup": (first.model_copy(update={"thickness_mm": 0.7}), *rest)})
    assert not layup_changed(SIDE, noted)
    assert layup_changed(SIDE, thicker)
