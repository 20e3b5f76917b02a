"""Facts of the trade that any right calculation shows; each is common practice, no source."""

from typing import Any

import pytest

from recipe_track.figures.craft import figures_of
from recipe_track.figures.results import CraftFigures
from recipe_track.recipe.craft import Model, Settings
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from tests.recipes import figures, materials, part, zone

SKIN = [{"material": "biax-800"}, {"material": "uni-600"}]


def craft(*masses: dict[str, Any], height_m: float = 0.8) -> CraftFigures:
    zones = {"bottom": zone(SKIN * 4, area_m2=40.0, centroid_m=(3.0, 0.0, height_m))}
    model = Model.model_validate({"origin": "transom at the waterline", "mass": masses})
    tree = ModelTree("m", model, {"hull": PartTree("hull", part(), zones)})
    return figures_of(Snapshot(Settings(format=1), materials(), None, {"m": tree}), "m").craft


def tank(at_x_m: float) -> dict[str, Any]:
    return {"item": "fuel", "mass_kg": 200.0, "at_m": [at_x_m, 0.0, 0.2], "variable": True}


def lcg(figures_in: CraftFigures, condition: str) -> float:
    centre = next(c.centroid_m for c in figures_in.conditions if c.name == condition)
    assert centre is not None
    return centre[0]


def vcg(figures_in: CraftFigures) -> float:
    assert figures_in.centroid_m is not None
    return figures_in.centroid_m[2]


def test_infusion_is_lighter_and_thinner_than_hand_lay_up_at_equal_fabric() -> None:
    """Common practice, no source: more fibre in the same fabric means less resin."""
    infused, by_hand = figures(SKIN), figures(SKIN, of=part(process="hand-layup"))
    assert infused.fibre_kg_m2 == by_hand.fibre_kg_m2
    assert infused.mass_kg < 0.8 * by_hand.mass_kg
    assert (infused.thickness_mm or 0) < (by_hand.thickness_mm or 0)


def test_hand_lay_up_is_thicker_and_so_stiffer_in_bending_at_equal_fabric() -> None:
    """Common practice, no source: the resin that weighs also holds the fibres apart."""
    infused, by_hand = figures(SKIN), figures(SKIN, of=part(process="hand-layup"))
    assert (by_hand.ei_x_kn_m2_per_m or 0) > (infused.ei_x_kn_m2_per_m or 0)


def test_a_core_raises_bending_stiffness_many_fold_for_little_weight() -> None:
    """Common practice, no source: 20 mm of foam between two skins."""
    solid = figures([*SKIN, *reversed(SKIN)])
    cored = figures([*SKIN, {"material": "pvc-80", "thickness_mm": 20}, *reversed(SKIN)])
    assert (cored.ei_x_kn_m2_per_m or 0) > 40 * (solid.ei_x_kn_m2_per_m or 0)
    assert cored.mass_kg < 1.6 * solid.mass_kg


def test_a_unidirectional_fabric_helps_along_its_fibres() -> None:
    """Common practice, no source."""
    bare, along = figures(SKIN * 2), figures([*SKIN * 2, {"material": "uni-600"}])
    across = figures([*SKIN * 2, {"material": "uni-600", "angle_deg": 90}])
    assert (along.ei_x_kn_m2_per_m or 0) > (across.ei_x_kn_m2_per_m or 0) > (bare.ei_x_kn_m2_per_m or 0)
    assert (along.ei_y_kn_m2_per_m or 0) < (across.ei_y_kn_m2_per_m or 0)


def test_skins_further_apart_are_stiffer_than_the_same_skins_together() -> None:
    """Common practice, no source: twice the core, some four times the bending stiffness."""
    thin, thick = (
        figures([*SKIN, {"material": "pvc-80", "thickness_mm": t}, *reversed(SKIN)]) for t in (20, 40)
    )
    assert 3 < (thick.ei_x_kn_m2_per_m or 0) / (thin.ei_x_kn_m2_per_m or 0) < 4


def test_a_tank_over_the_centre_of_gravity_leaves_the_trim_while_it_empties() -> None:
    """Common practice, no source."""
    amidships = craft(tank(3.0))
    assert lcg(amidships, "full") == pytest.approx(lcg(amidships, "light"))


def test_a_tank_in_the_bow_changes_the_trim_while_it_empties() -> None:
    """Common practice, no source."""
    forward = craft(tank(8.0))
    assert lcg(forward, "full") > lcg(forward, "light") + 0.5


def test_lower_masses_lower_the_centre() -> None:
    """Common practice, no source."""
    engine = {"item": "engine", "mass_kg": 500.0}
    low, high = (vcg(craft(engine | {"at_m": [3.0, 0.0, z]})) for z in (0.2, 0.6))
    assert low < high
    assert vcg(craft(height_m=0.7)) < vcg(craft(height_m=0.8))
