"""Weights and centres rolled up, against published examples of ship stability."""

import math

import pytest

from recipe_track.figures.craft import CraftFigures, centre_of, figures_of
from recipe_track.recipe.craft import Model, Settings
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from tests.recipes import material, materials, part, zone


def test_loading_and_discharging() -> None:
    """C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, ch. 13 List, pp. 115–117 (seen).

    Published to two decimals (KG 7.35 m, GM 1.35 m); own value of the same sums to 1e-6. y to starboard.
    """
    masses = [
        (8000.0, (0.0, 0.0, 7.6)),
        (250.0, (0.0, 7.6, 6.1)),
        (300.0, (0.0, -6.1, 0.6)),
        (-50.0, (0.0, -4.6, 1.2)),
    ]
    total, centre = centre_of(masses)
    assert centre is not None
    assert (total, total * centre[2], total * centre[1]) == pytest.approx((8500, 62445, 300))
    assert (centre[2], 8.7 - centre[2]) == pytest.approx((7.35, 1.35), rel=0.01)
    assert (centre[1], centre[2]) == pytest.approx((0.03529411765, 7.346470588), rel=1e-6)
    assert math.degrees(math.atan2(centre[1], 8.7 - centre[2])) == pytest.approx(1.493684458, rel=1e-6)


@pytest.mark.parametrize(
    ("weights", "heights", "kg"),
    [
        ([8800.0, 200.0], [6.2, 1.7], 6.1),
        ([12600.0, -600.0], [6.0, 11.0], 5.75),
        ([11500.0, -500.0], [6.3, 3.0], 6.45),
        ([3000.0, 200.0, 300.0, 150.0, 350.0], [3.9, 3.0, 6.4, 5.2, 4.0], 4.1),
    ],
)
def test_vertical_moments(weights: list[float], heights: list[float], kg: float) -> None:
    """Worked solutions to a ship-stability textbook, chapters 6 and 7 (seen); tolerance 1e-3."""
    _, centre = centre_of((w, (0.0, 0.0, z)) for w, z in zip(weights, heights, strict=True))
    assert centre is not None
    assert centre[2] == pytest.approx(kg, rel=1e-3)


BOAT = [  # name, area [m²], kg/m², x, y, z [m]; x from the transom, y to starboard in the source
    ("bottom", 12.4, 9.6, 3.1, 0.0, 0.18),
    ("sides", 14.2, 7.1, 3.45, 0.0, 0.72),
    ("deck", 11.0, 8.4, 3.6, 0.0, 1.22),
    ("transom", 1.6, 11.2, 0.05, 0.0, 0.7),
    ("stiffeners", 1.0, 38.0, 3.05, 0.0, 0.3),
]


def open_boat() -> CraftFigures:
    """The boat as a recipe: each panel a coating of 1 mm whose density gives the stated mass per area."""
    using = materials()
    for name, _, areal_mass, *_at in BOAT:
        using[f"skin-{name}"] = material(kind="coating", density_kg_m3=areal_mass * 1000)
    zones = {
        name: zone([{"material": f"skin-{name}", "thickness_mm": 1.0}], area_m2=area, centroid_m=tuple(at))
        for name, area, _, *at in BOAT
    }
    battery = {"item": "battery", "mass_kg": 22.0, "at_m": [1.2, 0.4, 0.35]}
    model = Model.model_validate({"origin": "transom, top of keel", "mass": [battery]})
    tree = ModelTree("m", model, {"hull": PartTree("hull", part(), zones)})
    return figures_of(Snapshot(Settings(format=1), using, None, {"m": tree}), "m").craft


def test_small_open_boat_from_panel_areas() -> None:
    """Own calculation, illustrative: weights and centres of six items; tolerance 1e-6."""
    craft = open_boat()
    assert craft.mass_kg == pytest.approx(390.18, rel=1e-6)
    assert craft.laminate_mass_kg == pytest.approx(119.04 + 100.82 + 92.4 + 17.92 + 38.0, rel=1e-6)
    assert craft.centroid_m == pytest.approx((3.056766108, 0.02255369317, 0.6109733969), rel=1e-6)
