"""Margins of panels under both loads, from either side: against closed forms and against each other."""

from typing import Any

import pytest

from recipe_track.figures.results import ZoneFigures
from tests.laws.recipe_strategies import Line
from tests.recipes import LIMITS, changed, figures, materials

USING = changed(materials(), "pvc-80", compressive_strength_mpa=1.2)
USING = changed(USING, "uni-600", strain_limits=LIMITS)
CORE = {"material": "pvc-80", "thickness_mm": 20.0}
SKIN = [{"material": "csm-300", "plies": 2}]
MAT = [{"material": "csm-300", "plies": 6}]
PANEL = {"span_mm": 400, "length_mm": 600, "edges": "simply-supported", "pressure_kpa": 2.0}
FOOT = {"force_kn": 1.0, "side_mm": 80}


def panel_of(layup: list[Line], using: Any = USING, **more: Any) -> ZoneFigures:
    return figures(layup, using=using, panel={**PANEL, **more})


def sandwich(using: Any = USING, angle: float = 0.0, **more: Any) -> ZoneFigures:
    return panel_of([*SKIN, {**CORE, "angle_deg": angle}, *SKIN], using, **more)


def test_a_load_on_the_other_side_stretches_the_other_face() -> None:
    """A mat that bears half as much in compression as in tension, on the mould side of a clamped panel
    beneath a fabric without limits: it is stretched at the edges by a pressure on its own side."""
    weak = changed(USING, "csm-300", strain_limits={"tension": 0.004, "compression": 0.002})
    layup = [*SKIN, CORE, {"material": "wr-600", "plies": 2}]
    mould, bag, both = (
        panel_of(layup, weak, edges="clamped", pressure_side=side) for side in ("mould", "bag", "both")
    )
    assert bag.strain_use == pytest.approx(2 * (mould.strain_use or 0), rel=1e-6)
    assert both.strain_use == bag.strain_use
    assert both.governs["strain_use"] == bag.governs["strain_use"]
    edge = "middle of the y edges, layer 1 csm-300, mould side"
    assert bag.governs["strain_use"] == f"pressure on the bag side, {edge}: compression"
    assert mould.governs["strain_use"] == f"pressure on the mould side, {edge}: tension"
    assert (mould.deflection_mm, mould.core_shear_use) == (bag.deflection_mm, bag.core_shear_use)


def test_a_foot_on_one_side_is_taken_from_that_side() -> None:
    weak = changed(USING, "csm-300", strain_limits={"tension": 0.004, "compression": 0.001})
    layup = [*SKIN, CORE, {"material": "wr-600", "plies": 2}]
    mould, bag, both = (panel_of(layup, weak, patch={**FOOT, "on": on}) for on in ("mould", "bag", "both"))
    assert mould.patch_strain_use == both.patch_strain_use
    assert (mould.patch_strain_use or 0) > 2 * (bag.patch_strain_use or 0)
    assert "foot load on the mould side" in both.governs["patch_strain_use"]
    assert (mould.patch_deflection_mm or 0) > 0
    assert mould.patch_deflection_mm == bag.patch_deflection_mm
    assert mould.strain_use == bag.strain_use


def test_a_small_foot_bends_a_sandwich_more_than_a_wide_one_and_shears_it_at_its_edge() -> None:
    """Vertical equilibrium: the force leaves the square through four sides, at least P/(4 s) on the mean."""
    small, wide = (sandwich(patch={"force_kn": 1.0, "side_mm": side}) for side in (60, 120))
    assert (small.patch_strain_use or 0) > 1.2 * (wide.patch_strain_use or 0)
    for zone, side in ((small, 0.06), (wide, 0.12)):
        assert zone.thickness_mm is not None
        lever = (zone.thickness_mm + 20) / 2 * 1e-3
        mean = 1e3 / (4 * side) / lever / 1e6
        assert mean < (zone.patch_core_shear_use or 0) < 2.5 * mean
        assert "of the foot" in zone.governs["patch_core_shear_use"]


def test_a_wide_foot_is_a_pressure_on_all_of_the_panel() -> None:
    square = {"span_mm": 400, "length_mm": 400}
    zone = sandwich(**square, patch={"force_kn": 2.0 * 0.4**2, "side_mm": 400})
    for key in ("strain_use", "core_shear_use", "wrinkling_use"):
        assert getattr(zone, f"patch_{key}") == pytest.approx(getattr(zone, key), rel=0.03), key


def test_without_a_foot_there_is_no_use_under_it() -> None:
    zone = sandwich()
    keys = ("patch_strain_use", "patch_core_shear_use", "patch_wrinkling_use", "core_crush_use")
    assert {getattr(zone, key) for key in keys} == {None}
    assert "a foot beside a support" not in zone.not_checked


def test_a_core_is_crushed_by_the_force_over_its_square() -> None:
    """1000 N on 80 mm by 80 mm are 0.15625 MPa, no face spreading them."""
    zone = sandwich(patch=FOOT)
    assert zone.core_crush_use == pytest.approx(0.15625 / 1.2)
    assert zone.governs["core_crush_use"] == (
        "foot load on either side, under the foot, layer 2 pvc-80, through the thickness: crushing"
    )
    unknown = sandwich(materials(), patch=FOOT)
    assert unknown.core_crush_use is None
    assert "crushing of layer 2 pvc-80" in unknown.not_checked
    assert "crushing of layer 2 pvc-80" not in sandwich(materials()).not_checked


def with_strengths(along: float, across: float) -> Any:
    return changed(
        USING, "pvc-80", shear_strength_mpa=None, shear_strength_l_mpa=along, shear_strength_w_mpa=across
    )


def test_a_core_is_held_against_its_strengths_along_and_across() -> None:
    """A long panel shears its core across the span alone: along y."""
    long = {"length_mm": 2400}
    single, turned = sandwich(**long).core_shear_use, {}
    for angle in (0.0, 45.0, 90.0):
        turned[angle] = sandwich(with_strengths(1.1, 0.9), angle, **long).core_shear_use
    assert single is not None
    assert turned[0.0] == pytest.approx(single / 0.9, rel=1e-3)
    assert turned[90.0] == pytest.approx(single / 1.1, rel=1e-3)
    both = (0.5 / 1.1**2 + 0.5 / 0.9**2) ** 0.5
    assert turned[45.0] == pytest.approx(single * both, rel=1e-3)


def test_equal_strengths_along_and_across_are_one_strength() -> None:
    one = sandwich(changed(USING, "pvc-80", shear_strength_mpa=0.7), patch=FOOT)
    two = sandwich(with_strengths(0.7, 0.7), 30.0, patch=FOOT)
    for key in ("core_shear_use", "patch_core_shear_use"):
        assert getattr(two, key) == pytest.approx(getattr(one, key), rel=1e-9)


def test_a_core_with_a_skin_on_one_side_has_no_core_margins_and_says_so() -> None:
    zone = panel_of([CORE, *SKIN], patch=FOOT)
    assert (zone.core_shear_use, zone.patch_core_shear_use, zone.core_crush_use) == (None, None, None)
    assert "layer 1 pvc-80 as a core: no skin that carries on both its sides" in zone.not_checked
    assert "crushing of layer 1 pvc-80" not in zone.not_checked


def test_what_the_field_does_not_hold_is_named() -> None:
    assert sandwich(patch=FOOT).not_checked == ("a foot beside a support", "compression at 45° out of twist")


def test_a_strongly_off_axis_skin_on_supports_is_strained_most_in_the_field() -> None:
    """Places beside the held-down corners count unless the corner is singular; the five places miss them."""
    layup = [{"material": "biax-800", "plies": 4}]
    zone = panel_of(layup, length_mm=400)
    assert zone.governs["strain_use"].split(", ")[1] == "beside a held-down corner"
    assert panel_of(layup, length_mm=400, edges="clamped").governs["strain_use"].split(", ")[1] != "centre"


def test_a_limit_holds_for_both_loads_in_one_row() -> None:
    required = {"strain_use_max": 0.5, "core_crush_use_max": 0.1, "core_shear_use_max": 1.0}
    panel = {**PANEL, "patch": {"force_kn": 4.0, "side_mm": 80}}
    zone = figures([*SKIN, CORE, *SKIN], using=USING, panel=panel, required=required)
    strain, shear, crush = (
        next(r for r in zone.required if r.key == key)
        for key in ("strain_use_max", "core_shear_use_max", "core_crush_use_max")
    )
    assert strain.by_load == {"pressure": zone.strain_use, "patch": zone.patch_strain_use}
    assert (strain.load, strain.value, strain.met) == ("patch", zone.patch_strain_use, False)
    assert (crush.load, crush.value, crush.met) == ("patch", zone.core_crush_use, False)
    assert shear.value == max(shear.by_load[load] or 0 for load in ("pressure", "patch"))
    pressed = figures([*SKIN, CORE, *SKIN], using=USING, panel=PANEL, required=required)
    row = next(r for r in pressed.required if r.key == "strain_use_max")
    assert (row.load, row.by_load) == ("pressure", {"pressure": pressed.strain_use, "patch": None})


def test_a_use_above_1_is_exceeded_without_any_limit() -> None:
    zone = sandwich(patch={"force_kn": 30.0, "side_mm": 80})
    assert zone.required == ()
    assert zone.exceeded == (
        "patch_core_shear_use", "patch_strain_use", "patch_wrinkling_use", "core_crush_use"
    )  # fmt: skip
    assert set(zone.exceeded) <= set(zone.governs)
    assert sandwich(patch=FOOT).exceeded == ()


def test_stretch_takes_from_a_deflection_that_linear_theory_overstates() -> None:
    """W + β W³ = w with the one term of an isotropic square, β = 1.285 w/q in units of E, h, a (values of
    the reference table); here of a supported one, whose edges are held in the plane on the mean."""
    zone = panel_of(MAT, span_mm=500, length_mm=500, pressure_kpa=0.3)
    assert zone.deflection_membrane_mm is not None
    assert zone.deflection_mm is not None
    assert 0.2 * zone.deflection_mm < zone.deflection_membrane_mm < 0.9 * zone.deflection_mm
    assert "half the thickness" in next(note for note in zone.notes if "linear" in note)
    assert panel_of(MAT, pressure_kpa=0.1).deflection_membrane_mm is None
    soft = sandwich(pressure_kpa=9000.0)
    assert "a tenth of the span" in next(note for note in soft.notes if "linear" in note)
    assert soft.deflection_membrane_mm is None
