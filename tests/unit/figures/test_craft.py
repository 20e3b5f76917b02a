"""Parts and craft: sums, centres, conditions, targets."""

from typing import Any

import pytest

from recipe_track.figures.craft import centre_of, figures_of
from recipe_track.figures.limits import held_against
from recipe_track.figures.results import CraftFigures, ModelFigures
from recipe_track.recipe.craft import Model, Settings
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from tests.recipes import materials, part, zone

UNI = {"material": "uni-600"}
ONE = 0.6 / 0.68  # kg of a zone of 1 m²


def craft_of(**model: Any) -> ModelFigures:
    parts = {
        "deck": PartTree("deck", part(), {"side": zone([UNI], centroid_m=(4.0, 1.0, 2.0))}),
        "hull": PartTree("hull", part(), {"bottom": zone([UNI] * 3, centroid_m=(2.0, 0.0, 0.5))}),
    }
    tree = ModelTree("m", Model.model_validate({"origin": "here", **model}), parts)
    return figures_of(Snapshot(Settings(format=1), materials(), None, {"m": tree}), "m")


ENGINE = {"item": "engine", "mass_kg": 10.0, "at_m": [1.0, 0.0, 0.5]}
FUEL = {"item": "fuel", "mass_kg": 20.0, "at_m": [3.0, 0.5, 0.0], "variable": True}


def test_zones_and_parts_stand_by_name() -> None:
    found = craft_of()
    assert [z.zone for z in found.zones] == ["deck/side", "hull/bottom"]
    assert [p.part for p in found.parts] == ["deck", "hull"]


def test_the_craft_without_other_masses_is_its_laminate() -> None:
    craft = craft_of().craft
    assert craft.mass_kg == craft.laminate_mass_kg == pytest.approx(4 * ONE)
    assert craft.centroid_m == pytest.approx((2.5, 0.25, (2.0 + 3 * 0.5) / 4))


def test_variable_masses_count_by_the_fill_of_the_condition() -> None:
    craft = craft_of(mass=[ENGINE, FUEL], condition=[{"name": "arrival", "fill": 0.25}]).craft
    by_name = {c.name: c for c in craft.conditions}
    assert [(c.name, c.fill) for c in craft.conditions] == [("light", 0), ("full", 1), ("arrival", 0.25)]
    laminate = 4 * ONE
    assert by_name["light"].mass_kg == pytest.approx(laminate + 10)
    assert by_name["full"].mass_kg == pytest.approx(laminate + 30)
    arrival = by_name["arrival"]
    assert arrival.mass_kg == pytest.approx(laminate + 15)
    assert arrival.centroid_m is not None
    assert arrival.centroid_m[0] == pytest.approx((2.5 * laminate + 10 + 5 * 3) / arrival.mass_kg)


def test_the_craft_stands_in_the_condition_of_its_targets() -> None:
    craft = craft_of(mass=[ENGINE, FUEL], targets={"condition": "full", "mass_kg_max": 40.0}).craft
    assert (craft.condition, craft.mass_kg) == ("full", pytest.approx(4 * ONE + 30))
    assert craft.laminate_mass_kg == pytest.approx(4 * ONE)


def met(craft: CraftFigures) -> dict[str, bool | None]:
    return {t.key: t.met for t in craft.targets}


def test_targets_are_held_against_the_figures() -> None:
    tight = {"mass_kg_max": 3.5, "laminate_mass_kg_max": 3.6, "lcg_m": [2.6, 3.0], "vcg_m_max": 0.9}
    craft = craft_of(targets={**tight, "tcg_m": [-0.25, 0.26], "cost_max": 100.0}).craft
    assert met(craft) == {
        "mass_kg_max": False,
        "laminate_mass_kg_max": True,
        "lcg_m": False,
        "tcg_m": True,
        "vcg_m_max": True,
        "cost_max": None,  # no prices, no cost
    }


@pytest.mark.parametrize(("value", "inside"), [(1.0, True), (2.0, True), (0.99, False), (2.01, False)])
def test_both_ends_of_a_range_are_included(value: float, inside: bool) -> None:
    assert held_against("lcg_m", (1.0, 2.0), value).met is inside


def test_without_targets_there_is_nothing_to_meet() -> None:
    assert craft_of().craft.targets == ()


def test_no_mass_has_no_centre() -> None:
    assert centre_of([]) == (0.0, None)
    assert centre_of([(1.0, (1.0, 2.0, 3.0)), (-1.0, (0.0, 0.0, 0.0))]) == (0.0, None)
