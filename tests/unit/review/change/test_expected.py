"""Expected effects: deltas as they are written down, and where today's figures depart from them."""

from dataclasses import replace

import pytest

from recipe_track.recipe.records import Expected, ExpectedZone
from recipe_track.review.change.expected import departures, expected_of
from tests.recipes import WORKED, changed, read_recipe


def test_a_step_that_does_nothing_is_expected_to_do_nothing() -> None:
    recipe = read_recipe(WORKED)
    found = expected_of(recipe, recipe, "demo")
    assert (found.mass_kg, found.cost, found.lcg_m, found.vcg_m, found.zones) == (0, 0, 0, 0, {})


def test_a_zone_that_comes_or_goes_counts_with_its_mass_and_cost() -> None:
    recipe = read_recipe(WORKED)
    tree = recipe.models["demo"]
    deck = tree.parts["deck"]
    less = replace(deck, zones={"side": deck.zones["side"]})
    without = replace(recipe, models={"demo": replace(tree, parts={"deck": less})})
    gone, come = expected_of(recipe, without, "demo"), expected_of(without, recipe, "demo")
    assert list(gone.zones) == ["deck/coaming"] == list(come.zones)
    mass = come.zones["deck/coaming"].mass_kg
    assert mass is not None
    assert mass > 0
    assert gone.zones["deck/coaming"].mass_kg == -mass
    assert come.mass_kg == pytest.approx(mass)


def test_another_currency_leaves_cost_open() -> None:
    recipe = read_recipe(WORKED)
    assert recipe.prices is not None
    other = replace(recipe, prices=recipe.prices.model_copy(update={"currency": "NOK"}))
    assert expected_of(recipe, other, "demo").cost is None


def test_only_more_than_rounding_is_a_difference() -> None:
    then = Expected(mass_kg=4.2, zones={"deck/side": ExpectedZone(mass_kg=4.2)})
    assert departures(then, then) == ()
    near = Expected(mass_kg=4.2004, zones={"deck/side": ExpectedZone(mass_kg=4.2)})
    assert departures(then, near) == ()
    far = Expected(mass_kg=4.6, zones={})
    assert [line.split(":")[0] for line in departures(then, far)] == ["craft mass_kg", "deck/side mass_kg"]
    assert departures(Expected(), far) == ()


def test_a_changed_material_departs_from_what_was_expected() -> None:
    recipe = read_recipe(WORKED)
    heavier = replace(recipe, materials=changed(recipe.materials, "pvc-80", density_kg_m3=160))
    found = expected_of(recipe, heavier, "demo")
    # 2.4 m² of 20 mm at 80 kg/m³ more (tests/data/worked-recipe)
    assert found.zones["deck/side"].mass_kg == pytest.approx(2.4 * 0.020 * 80)
