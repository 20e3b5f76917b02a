"""The table of quantities: every number has its entry on its field, and no list of keys is kept beside it."""

import ast
import inspect
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any, get_args, get_type_hints

import pytest

from recipe_track.figures import results
from recipe_track.figures.results import CRAFT_KEYS, FIGURES, ZONE_KEYS
from recipe_track.impact.effects import Balance
from recipe_track.recipe import craft, layup, materials, records
from recipe_track.recipe.craft import Targets
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.layup import Required
from recipe_track.recipe.quantities import (
    UNITS,
    Label,
    Place,
    Quantity,
    counting,
    limited,
    marks_of,
    quantities_of,
    unit_of_key,
)
from recipe_track.review.papers import bill, steps

PACKAGE = Path(results.__file__).parents[1]
LIMITS = (Required, Targets)
BY_KEY = {records.Weighed: ["figures"]}  # numbers under the keys of figures, which say what they count in


def tables(module: ModuleType) -> list[type]:
    return [
        kind
        for _, kind in inspect.getmembers(module, inspect.isclass)
        if issubclass(kind, RecipeTable) and kind.__module__ == module.__name__
    ]


def computed(module: ModuleType) -> list[type]:
    return [
        kind
        for _, kind in inspect.getmembers(module, inspect.isclass)
        if kind.__module__ == module.__name__ and hasattr(kind, "__dataclass_fields__")
    ]


WRITTEN = [kind for module in (materials, layup, craft, records) for kind in tables(module)]
COMPUTED = [
    *(kind for kind in computed(results) if kind is not results.Requirement),
    Balance, bill.Amount, bill.BillItem, steps.Step, steps.Mix,
]  # fmt: skip


def numeric(hint: Any) -> bool:
    """Whether a type is a number, or numbers by name or in a row."""
    return hint in (int, float) or any(map(numeric, get_args(hint)))


def numbers(kind: type) -> Iterator[str]:
    hints = get_type_hints(kind)
    return (key for key, hint in hints.items() if not key.startswith("_") and numeric(hint))


@pytest.mark.parametrize("kind", [*WRITTEN, *COMPUTED], ids=lambda kind: kind.__name__)
def test_every_number_has_an_entry(kind: type) -> None:
    said = marks_of(kind)
    without = [key for key in numbers(kind) if not isinstance(said[key], Quantity | Place)]
    if kind in LIMITS:
        without = [key for key in without if limited(key)[0] not in FIGURES]
    assert without == BY_KEY.get(kind, [])


@pytest.mark.parametrize(
    "kind",
    [*tables(materials), *(kind for kind in tables(layup) if kind is not Required), craft.Part, craft.Price],
    ids=lambda kind: kind.__name__,
)
def test_what_figures_are_computed_from_says_what_it_counts_in(kind: type) -> None:
    assert [key for key, said in marks_of(kind).items() if said is None] == []


def test_one_key_is_one_figure() -> None:
    """Zones, parts and the craft call a figure alike, in one unit; so does what a record expects of it."""
    for kind in (*COMPUTED[:-4], records.Expected, records.ExpectedZone):
        for key, quantity in quantities_of(kind).items():
            if key in FIGURES and kind not in (results.LayerFigures, results.DirectionFigures):
                assert (quantity.words, quantity.unit) == (FIGURES[key].words, FIGURES[key].unit), key


@pytest.mark.parametrize("limits", LIMITS, ids=lambda kind: kind.__name__)
def test_a_limit_is_on_a_figure_and_on_its_better_side(limits: type[RecipeTable]) -> None:
    figures = ZONE_KEYS if limits is Required else CRAFT_KEYS
    better = {"min": "greater", "max": "smaller", "range": None}
    for key in numbers(limits):
        figure, side = limited(key)
        assert figure in figures
        assert FIGURES[figure].better == better[side], key


def test_money_alone_has_a_unit_that_its_key_does_not_say() -> None:
    for kind in (*WRITTEN, *COMPUTED):
        for key, quantity in quantities_of(kind).items():
            assert quantity.unit == unit_of_key(key) or quantity.unit == "¤", key


def test_the_longest_ending_gives_the_unit() -> None:
    assert unit_of_key("ei_x_kn_m2_per_m") == "kN·m²/m"
    assert unit_of_key("perforation_uptake_g_m2_mm") == "g/m² per mm"
    assert unit_of_key("kg_per_m") == "kg/m"
    assert unit_of_key("strain_use") == ""
    assert all(unit_of_key(f"x{ending}") == unit for ending, unit in UNITS.items())


def test_who_sells_a_material_and_what_is_said_of_it_counts_in_no_figure() -> None:
    assert set(counting(materials.Core, "nothing")) == {"name", "source", "note", "plausible"}
    assert set(counting(materials.Core, "purchasing")) == {
        "supplier", "product_code", "certificate", "board_m2",
    }  # fmt: skip
    assert "roll_width_m" in counting(materials.Reinforcement, "purchasing")
    assert isinstance(marks_of(materials.Core)["supplier"], Label)


# Rows that say more than the table can: the order in which effects are told, one line for the whole craft.
BY_HAND = {("present/words/comparison.py", "mass_kg"), ("present/pages/dossier.py", "mass_kg")}


def test_no_list_of_figures_is_kept_by_hand() -> None:
    """Three keys of figures written out in a row are a list that drifts from the table."""
    found = {
        (str(path.relative_to(PACKAGE)), keys[0])
        for path in PACKAGE.rglob("*.py")
        for keys in rows_of_keys(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert found - BY_HAND == set()


def rows_of_keys(tree: ast.Module) -> Iterator[list[str]]:
    for node in ast.walk(tree):
        inside = node.elts if isinstance(node, ast.Tuple | ast.List | ast.Set) else []
        keys = [one.value for one in inside if isinstance(one, ast.Constant) and one.value in FIGURES]
        if len(keys) > 2:
            yield keys
