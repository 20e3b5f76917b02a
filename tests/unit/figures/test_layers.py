"""What each layer of a zone gives, and what the zone shows without it."""

from dataclasses import fields
from typing import Any

import pytest

import recipe_track.figures.layers as layers_module
from recipe_track.figures.layers import layer_figures
from recipe_track.figures.results import LayerFigures
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.craft import Prices
from tests.recipes import WORKED, case, changed, materials, read_recipe

WORKED_PRICES = read_recipe(WORKED).prices
assert WORKED_PRICES is not None
PRICES = WORKED_PRICES.model_copy(
    update={"materials": {**WORKED_PRICES.materials, "uni-600": WORKED_PRICES.materials["biax-800"]}}
)
PANEL = {"span_mm": 450, "length_mm": 900, "edges": "clamped", "pressure_kpa": 18.0}
LAYUP: list[dict[str, Any]] = [
    {"material": "gelcoat", "thickness_mm": 0.6},
    {"material": "csm-300", "process": "hand-layup"},
    {"material": "biax-800", "plies": 2},
    {"material": "pvc-80", "thickness_mm": 20},
    {"material": "biax-800", "angle_deg": 30, "flipped": True},
    {"material": "wr-600", "angle_deg": 90, "coverage_fraction": 0.25},
]


def of(
    layup: list[dict[str, Any]] = LAYUP, prices: Prices | None = PRICES, **keys: Any
) -> list[LayerFigures]:
    return list(layer_figures([case(layup, prices=prices, panel=PANEL, **keys)])[0].layers)


def test_masses_and_costs_of_the_layers_add_up_to_the_zone() -> None:
    whole = zone_figures([case(LAYUP, prices=PRICES, area_m2=2.4, overlap_fraction=0.06)])[0]
    found = of(area_m2=2.4, overlap_fraction=0.06)
    assert sum(layer.mass_kg for layer in found) == pytest.approx(whole.mass_kg)
    assert sum(layer.cost or 0 for layer in found) == pytest.approx(whole.cost)


def test_without_a_layer_the_zone_is_what_is_left() -> None:
    for n, layer in enumerate(of()):
        rest = zone_figures([case(LAYUP[:n] + LAYUP[n + 1 :], prices=PRICES, panel=PANEL)])[0]
        for field in fields(layer.without):
            alone = getattr(rest, field.name)
            expected = None if alone is None else pytest.approx(alone, rel=1e-9)
            assert getattr(layer.without, field.name) == expected, (n, field.name)


def test_mass_without_a_layer_is_the_zone_less_the_layer() -> None:
    whole = zone_figures([case(LAYUP, prices=PRICES)])[0]
    for layer in of():
        assert layer.without.mass_kg == pytest.approx(whole.mass_kg - layer.mass_kg)
        assert layer.without.cost == pytest.approx((whole.cost or 0) - (layer.cost or 0))


def test_the_core_is_worth_its_weight() -> None:
    whole, core = zone_figures([case(LAYUP)])[0], of()[3]
    assert (core.without.ei_x_kn_m2_per_m or 0) < 0.1 * (whole.ei_x_kn_m2_per_m or 0)


def test_a_line_shows_its_plies_in_zone_axes() -> None:
    mat, biax, flipped = (of()[n] for n in (1, 2, 4))
    assert [d.angle_deg for d in mat.directions] == [None]
    assert [d.angle_deg for d in biax.directions] == pytest.approx([45, -45])
    assert [d.angle_deg for d in flipped.directions] == pytest.approx([75, -15])
    thickness = 0.8 / 2560 + 0.8 * 0.32 / 0.68 / 1120
    assert biax.thickness_mm == pytest.approx(2 * thickness * 1e3)
    assert biax.fibre_volume_fraction == pytest.approx(0.8 / 2560 / thickness)
    assert sum(d.thickness_mm for d in biax.directions) == pytest.approx(thickness * 1e3)
    e1 = biax.directions[0].e1_gpa
    volume = biax.directions[0].fibre_volume_fraction
    assert e1 == pytest.approx(0.95 * (volume * 73 + (1 - volume) * 3.4))


def test_a_fabric_shows_its_own_moduli_before_those_of_its_directions() -> None:
    """Of a cloth at ±45°: shear of a 0/90 cloth turned, E from 1/E = 1/(4 G) + (1 − ν)/(2 E) of it."""
    biax = {"material": "biax-090", "angle_deg": 30, "flipped": True}
    (cross,) = layer_figures([case([biax])])[0].layers
    (turned,) = layer_figures([case([{**biax, "angle_deg": 75}])])[0].layers
    both = [d.e1_gpa for d in cross.directions], [d.e2_gpa for d in cross.directions]
    assert cross.fabric is not None
    assert turned.fabric is not None
    e, g, nu = cross.fabric.ex_gpa, cross.fabric.gxy_gpa, cross.fabric.nu_xy
    assert both[1][0] < e < both[0][0]
    assert e == pytest.approx(cross.fabric.ey_gpa)
    assert (e, g) == pytest.approx((turned.fabric.ex_gpa, turned.fabric.gxy_gpa))
    assert g == pytest.approx(cross.directions[0].g12_gpa)
    own = changed(materials(), "biax-090", directions=[
        {"angle_deg": 45, "share": 0.5}, {"angle_deg": -45, "share": 0.5}
    ])  # fmt: skip
    (diagonal,) = layer_figures([case([{"material": "biax-090"}], using=own)])[0].layers
    assert diagonal.fabric is not None
    assert 1 / diagonal.fabric.ex_gpa == pytest.approx(1 / (4 * g) + (1 - nu) / (2 * e))
    assert diagonal.fabric.gxy_gpa == pytest.approx(e / (2 * (1 + nu)))


def test_voids_are_told_of_a_fabric_alone() -> None:
    using = changed(materials(), "biax-800", void_fraction={"infusion": 0.03})
    assert [layer.void_fraction for layer in of(using=using)] == [None, 0.0, 0.03, None, 0.03, 0.0]


def test_distances_run_from_the_neutral_axis_to_the_middle_of_the_line() -> None:
    core = {"material": "pvc-80", "thickness_mm": 20}
    low, middle, high = of([{"material": "uni-600", "plies": 2}, core, {"material": "uni-600", "plies": 2}])
    assert middle.distance_x_mm == pytest.approx(0, abs=1e-9)
    assert high.distance_y_mm == pytest.approx(10 + high.thickness_mm / 2)
    assert low.distance_x_mm == pytest.approx(-(high.distance_x_mm or 0))


def test_the_neutral_axis_moves_towards_the_stiffer_skin_of_each_direction() -> None:
    core = {"material": "pvc-80", "thickness_mm": 20}
    along, _, across = of([{"material": "uni-600"}, core, {"material": "uni-600", "angle_deg": 90}])
    assert abs(along.distance_x_mm or 0) < abs(across.distance_x_mm or 0)
    assert abs(along.distance_y_mm or 0) > abs(across.distance_y_mm or 0)


def test_partial_coverage_and_coatings_have_no_moduli_to_show() -> None:
    gelcoat, *_, patch = of()
    assert (gelcoat.directions, gelcoat.fibre_volume_fraction) == ((), None)
    assert gelcoat.distance_x_mm is not None
    assert (patch.distance_x_mm, patch.coverage_fraction) == (None, 0.25)


def test_a_zone_of_one_layer_has_nothing_left_without_it() -> None:
    (only,) = of([{"material": "uni-600"}])
    assert (only.without.mass_kg, only.without.ei_x_kn_m2_per_m, only.without.deflection_mm) == (
        0,
        None,
        None,
    )


def test_without_prices_layers_have_no_cost() -> None:
    assert {layer.cost for layer in of(prices=None)} == {None}


def test_a_joint_has_no_layers() -> None:
    joint = case([], form="joint", length_m=2.0, paste="bond-paste", kg_per_m=0.5)
    assert layer_figures([joint])[0].layers == ()


def test_several_zones_are_computed_in_two_passes(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []

    def counted(cases: Any, **keys: Any) -> Any:
        calls.append(len(cases))
        return zone_figures(cases, **keys)

    monkeypatch.setattr(layers_module, "zone_figures", counted)
    found = layer_figures([case(LAYUP), case(LAYUP[:3], name="deck/side")])
    assert calls == [2, len(LAYUP) + 3]
    assert [z.figures.zone for z in found] == ["hull/bottom", "deck/side"]
    assert [len(z.layers) for z in found] == [6, 3]
