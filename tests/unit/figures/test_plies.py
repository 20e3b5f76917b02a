"""A layer becomes plies: every direction with its own fibre, thickness and place."""

from typing import Any

import numpy as np
import pytest

from recipe_track.figures.materials import NotComputable
from recipe_track.figures.plies import LayerPlies, layer_plies, resolve_layers
from recipe_track.recipe.layup import Layer
from recipe_track.recipe.materials import Material
from tests.recipes import changed, material, materials, part

USING = materials()


def plies(name: str, using: dict[str, Material] = USING, **keys: Any) -> LayerPlies:
    return layer_plies(Layer.model_validate({"material": name, **keys}), part(), using)


def thickness_by_hand(areal_kg: float, fraction: float, fibre: float = 2560, resin: float = 1120) -> float:
    return areal_kg / fibre + areal_kg * (1 - fraction) / fraction / resin


def in_zone_axes(e1: float, e2: float, g12: float, nu12: float, degrees: float) -> np.ndarray:
    """Inverse of the compliance turned by hand, a path that shares nothing with the code."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    turn = np.array([[c * c, s * s, 2 * c * s], [s * s, c * c, -2 * c * s], [-c * s, c * s, c * c - s * s]])
    compliance = np.array([[1 / e1, -nu12 / e1, 0], [-nu12 / e1, 1 / e2, 0], [0, 0, 1 / g12]])
    return np.linalg.inv(turn.T @ compliance @ turn)


def test_each_direction_of_a_fabric_is_a_ply_of_its_share() -> None:
    found = plies("quad-1200")
    assert found.thickness_m == pytest.approx([thickness_by_hand(0.3, 0.68)] * 4)
    assert np.degrees([s.angle_rad for s in found.sub_plies]) == pytest.approx([0, 45, 90, -45])
    assert found.own_kg_m2 == pytest.approx(1.2 / 0.68)
    assert (found.fibre_kg_m2, found.resin_kg_m2) == pytest.approx((1.2, 1.2 * 0.32 / 0.68))


def test_stiffness_stands_in_zone_axes() -> None:
    found = plies("skew-700", angle_deg=10)
    for q_bar, s, degrees in zip(found.q_bar_pa, found.sub_plies, (30, 85), strict=True):
        by_hand = in_zone_axes(s.e1_pa, s.e2_pa, s.g12_pa, s.nu12, degrees)
        assert q_bar == pytest.approx(by_hand, rel=1e-9, abs=1e-3)


def test_a_mat_is_isotropic_with_averaged_moduli_and_its_factor() -> None:
    aligned, mat = plies("uni-600", fibre_mass_fraction=0.3), plies("csm-300", process="hand-layup")
    one, random = aligned.sub_plies[0], mat.sub_plies[0]
    e, g = 3 / 8 * one.e1_pa + 5 / 8 * one.e2_pa, one.e1_pa / 8 + one.e2_pa / 4
    assert (random.e1_pa, random.e2_pa, random.g12_pa) == pytest.approx((0.8 * e, 0.8 * e, 0.8 * g))
    assert random.nu12 == pytest.approx(e / (2 * g) - 1)
    assert random.random
    turned = plies("csm-300", process="hand-layup", angle_deg=37)
    assert turned.q_bar_pa == pytest.approx(mat.q_bar_pa, rel=1e-9, abs=1e-3)


VOIDS = {"infusion": 0.02, "hand-layup": 0.04}


@pytest.mark.parametrize(("process", "voids"), [("infusion", 0.02), ("hand-layup", 0.04), ("spray-up", 0.0)])
def test_voids_of_the_process_in_use_thicken_a_ply_and_soften_its_resin(process: str, voids: float) -> None:
    """Thickness, φ and E1 by hand; E2 and G12 as of a resin that is softer by its share of voids."""
    fabric = changed(USING, "uni-600", void_fraction=VOIDS)
    solid, found = plies("uni-600", process=process), plies("uni-600", fabric, process=process)
    one, ply = solid.sub_plies[0], found.sub_plies[0]
    assert found.thickness_m == pytest.approx(solid.thickness_m / (1 - voids))
    assert (found.fibre_kg_m2, found.resin_kg_m2) == (solid.fibre_kg_m2, solid.resin_kg_m2)
    phi = ply.fibre_volume_fraction
    assert phi == pytest.approx(one.fibre_volume_fraction * (1 - voids))
    assert ply.e1_pa == pytest.approx((phi * 73 + (1 - phi - voids) * 3.4) * 1e9)
    em = 3.4 * (1 - phi - voids) / (1 - phi)
    across = em / (1 - 0.35**2)
    e2 = across * (1 + 0.85 * phi**2) / ((1 - phi) ** 1.25 + phi * across / 73)
    assert ply.e2_pa == pytest.approx(e2 * 1e9)
    gm = em / 2 / 1.35
    g12 = gm * (1 + 0.6 * phi**0.5) / ((1 - phi) ** 1.25 + phi * gm / 30)
    assert ply.g12_pa == pytest.approx(g12 * 1e9)


def test_a_woven_fabric_is_one_ply_of_mean_stiffness() -> None:
    woven, stitched = plies("biax-090", changed(USING, "biax-090", woven=True)), plies("biax-090")
    assert len(woven.thickness_m) == 1
    assert woven.thickness_m[0] == pytest.approx(stitched.thickness_m.sum())
    assert woven.q_bar_pa[0] == pytest.approx(stitched.q_bar_pa.mean(axis=0))
    assert woven.sub_plies == stitched.sub_plies


def test_a_woven_hybrid_weighs_its_directions_by_thickness() -> None:
    woven = plies("hybrid-500", changed(USING, "hybrid-500", woven=True))
    stitched = plies("hybrid-500")
    weights = stitched.thickness_m / stitched.thickness_m.sum()
    assert weights[0] != pytest.approx(0.6, rel=1e-3)  # carbon is lighter: more thickness than its mass share
    assert woven.q_bar_pa[0] == pytest.approx(np.tensordot(weights, stitched.q_bar_pa, 1))
    assert woven.g_pa[0] == pytest.approx(weights @ stitched.g_pa)


def test_a_hybrid_takes_each_direction_from_its_own_fibre() -> None:
    found = plies("hybrid-500")
    assert found.thickness_m == pytest.approx(
        [thickness_by_hand(0.3, 0.68, fibre=1790), thickness_by_hand(0.2, 0.68)]
    )
    carbon, glass = found.sub_plies
    volume = 0.3 / 1790 / found.thickness_m[0]
    assert carbon.e1_pa == pytest.approx(volume * 235e9 + (1 - volume) * 3.4e9)
    assert glass.e1_pa < carbon.e1_pa / 2


def test_a_flipped_fabric_is_reversed_with_negated_angles() -> None:
    up, flipped = plies("skew-700", angle_deg=10), plies("skew-700", angle_deg=10, flipped=True)
    assert np.degrees([s.angle_rad for s in up.sub_plies]) == pytest.approx([30, 85])
    assert np.degrees([s.angle_rad for s in flipped.sub_plies]) == pytest.approx([-65, -10])


LAMINA = {
    "e1_gpa": 40.0, "e2_gpa": 11.0, "g12_gpa": 3.9, "nu12": 0.27, "thickness_mm": 0.5, "density_kg_m3": 1900,
}  # fmt: skip


def test_tested_values_replace_the_estimate_and_are_scaled_by_nothing() -> None:
    using = changed(USING, "biax-800", lamina=LAMINA, stiffness_factor=0.5, areal_mass_g_m2=600)
    found = plies("biax-800", using)
    assert found.thickness_m == pytest.approx([0.25e-3, 0.25e-3])
    assert {(s.e1_pa, s.e2_pa, s.g12_pa, s.nu12) for s in found.sub_plies} == {(40e9, 11e9, 3.9e9, 0.27)}
    assert (found.own_kg_m2, found.fibre_kg_m2, found.resin_kg_m2) == pytest.approx((0.95, 0.6, 0.35))


def test_tested_values_need_no_fibre_fraction() -> None:
    using = changed(USING, "biax-800", lamina=LAMINA, fibre_mass_fraction={}, areal_mass_g_m2=600)
    assert plies("biax-800", using).own_kg_m2 == pytest.approx(0.95)


@pytest.mark.parametrize(
    ("keys", "fraction"),
    [
        ({}, 0.68),
        ({"process": "hand-layup"}, 0.50),
        ({"process": "spray-up", "fibre_mass_fraction": 0.4}, 0.4),
    ],
)
def test_fibre_fraction_comes_from_the_layer_then_its_process_then_the_part(
    keys: dict[str, Any], fraction: float
) -> None:
    assert plies("uni-600", **keys).thickness_m == pytest.approx([thickness_by_hand(0.6, fraction)])


def test_a_layer_may_have_its_own_resin() -> None:
    own = plies("uni-600", resin="polyester")
    assert own.thickness_m == pytest.approx([thickness_by_hand(0.6, 0.68, resin=1200)])
    volume = 0.6 / 2560 / own.thickness_m[0]
    assert own.sub_plies[0].e1_pa == pytest.approx(volume * 73e9 + (1 - volume) * 3.2e9)


def test_a_core_takes_up_resin_at_both_faces_and_in_its_holes() -> None:
    found = plies("pvc-80", thickness_mm=20)
    assert found.own_kg_m2 == pytest.approx(1.6)
    assert found.uptake_kg_m2 == pytest.approx((2 * 300 + 12 * 20) / 1000)
    assert plies("pvc-80", thickness_mm=20, process="hand-layup").uptake_kg_m2 == pytest.approx(0.3)
    assert plies("pvc-80", thickness_mm=20, uptake_g_m2=50).uptake_kg_m2 == pytest.approx(0.05)


def test_a_core_is_isotropic_in_its_plane() -> None:
    q = plies("pvc-80", thickness_mm=20).q_bar_pa[0]
    assert q == pytest.approx(in_zone_axes(60e6, 60e6, 60e6 / 2.6, 0.3, 0), rel=1e-9, abs=1e-6)


@pytest.mark.parametrize(("angle", "gx", "gy"), [(0, 40e6, 20e6), (90, 20e6, 40e6), (30, 35e6, 25e6)])
def test_the_strong_direction_of_a_core_follows_the_angle(angle: float, gx: float, gy: float) -> None:
    assert plies("honeycomb", thickness_mm=10, angle_deg=angle).g_pa[0] == pytest.approx([gx, gy])


def test_a_coating_takes_up_thickness_and_carries_nothing() -> None:
    found = plies("gelcoat", thickness_mm=0.6)
    assert (found.own_kg_m2, found.thickness_m[0]) == pytest.approx((0.75, 0.6e-3))
    assert not found.q_bar_pa.any()


@pytest.mark.parametrize(
    ("layer", "says"),
    [
        ({"material": "nothing"}, "no material `nothing`"),
        ({"material": "vinylester"}, "`vinylester` is not a reinforcement, core or coating"),
        ({"material": "csm-300", "process": "spray-up"}, "no fibre mass fraction of `csm-300`"),
        ({"material": "honeycomb", "thickness_mm": 9, "process": "spray-up"}, "no resin uptake of"),
        ({"material": "pvc-80"}, "no thickness of `pvc-80`"),
        ({"material": "gelcoat"}, "no thickness of `gelcoat`"),
        ({"material": "uni-600", "resin": "nothing"}, "no resin `nothing`"),
        ({"material": "loose", "thickness_mm": 9}, "a core without a shear modulus"),
    ],
)  # fmt: skip
def test_what_is_missing_is_named(layer: dict[str, Any], says: str) -> None:
    loose = {"density_kg_m3": 60, "surface_uptake_g_m2": {}, "perforation_uptake_g_m2_mm": {}}
    using = materials(loose={"kind": "core", **loose})
    with pytest.raises(NotComputable, match=says):
        resolve_layers((Layer.model_validate(layer),), part(), using, {})


def test_equal_layers_share_their_plies_and_others_do_not() -> None:
    uni = {"material": "uni-600"}
    layup = (uni, uni | {"note": "again"}, uni | {"angle_deg": 90}, uni | {"resin": "polyester"})
    first, again, across, other = resolve_layers(
        tuple(Layer.model_validate(layer) for layer in layup), part(), USING, {}
    )
    assert first.plies is again.plies
    assert across.plies is not first.plies
    assert other.plies is not first.plies


def test_a_material_of_another_revision_is_not_mistaken_for_its_namesake() -> None:
    known: dict[object, LayerPlies] = {}
    layup = (Layer.model_validate({"material": "uni-600"}),)
    before = resolve_layers(layup, part(), USING, known)[0].plies
    after = resolve_layers(layup, part(), changed(USING, "uni-600", areal_mass_g_m2=700), known)[0].plies
    stiffer = {**USING, "e-glass": material(
        kind="fibre", source="s", density_kg_m3=2490, e_axial_gpa=86.0, g_gpa=35.0, nu=0.2)}  # fmt: skip
    other_fibre = resolve_layers(layup, part(), stiffer, known)[0].plies
    assert after.fibre_kg_m2 == pytest.approx(0.7)
    assert before.fibre_kg_m2 == pytest.approx(0.6)
    assert other_fibre.sub_plies[0].e1_pa > before.sub_plies[0].e1_pa
