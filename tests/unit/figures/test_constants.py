"""Engineering constants of a laminate: what a narrow coupon cut from it shows."""

import numpy as np
import pytest

from recipe_track.figures.results import EngineeringConstants
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.quantities import single_numbers
from tests.recipes import case, changed, figures, materials

USING = materials()


KEYS = single_numbers(EngineeringConstants)


def test_a_mat_shows_its_own_moduli_over_the_thickness_that_carries() -> None:
    """Isotropic: E, E, G, ν of the ply; pulled in the middle of the stack, gelcoat included, it bends."""
    mat = {"material": "csm-300", "process": "hand-layup", "plies": 4}
    coat = {"material": "gelcoat", "thickness_mm": 0.6}
    bare, coated = figures([mat]), figures([coat, mat])
    assert bare.ex_gpa == pytest.approx(bare.ey_gpa)
    assert bare.gxy_gpa == pytest.approx((bare.ex_gpa or 0) / (2 * (1 + (bare.nu_xy or 0))))
    assert bare.ex_gpa == pytest.approx((bare.ea_x_mn_per_m or 0) / (bare.thickness_mm or 1))
    assert coated.structural_thickness_mm == pytest.approx(bare.thickness_mm)
    assert coated.ex_gpa == pytest.approx((coated.ea_x_mn_per_m or 0) / (bare.thickness_mm or 1))


def test_an_unsymmetric_stack_is_free_to_warp() -> None:
    """By the whole 6 × 6: A alone would say that it is stiffer."""
    found = figures([{"material": "uni-600"}, {"material": "uni-600", "angle_deg": 90}])
    assert found.laminate is not None
    a, b, d = (np.array(getattr(found.laminate, key)) for key in ("a_n_per_mm", "b_n", "d_n_mm"))
    compliance = np.linalg.inv(np.block([[a, b], [b, d]]))
    t = found.structural_thickness_mm or 0.0
    assert found.ex_gpa == pytest.approx(1e-3 / (compliance[0, 0] * t))
    assert found.nu_xy == pytest.approx(-compliance[0, 1] / compliance[0, 0])
    assert found.ex_gpa < 1e-3 / (np.linalg.inv(a)[0, 0] * t)


def test_what_carries_nothing_has_no_constants() -> None:
    bare = figures([{"material": "gelcoat", "thickness_mm": 0.6}])
    assert [getattr(bare, key) for key in KEYS] == [None] * 4


def test_a_minimum_thickness_is_held_against_the_laminate_without_voids() -> None:
    layup = [{"material": "uni-600", "plies": 4}]
    solid = figures(layup).structural_thickness_mm or 0.0
    using = changed(USING, "uni-600", void_fraction={"infusion": 0.05})
    required = {"structural_thickness_mm_min": solid * 1.001}
    found = zone_figures([case(layup, using=using, required=required)])[0]
    assert found.structural_thickness_mm == pytest.approx(solid / 0.95)
    assert [(r.met, r.value) for r in found.required] == [(False, pytest.approx(solid))]
    assert any("off the strength is left out" in note for note in found.notes)
    assert not any("voids" in note for note in figures(layup).notes)


def test_a_laminate_with_voids_weighs_the_same() -> None:
    using = changed(USING, "uni-600", void_fraction={"infusion": 0.05})
    layup = [{"material": "uni-600", "plies": 4}]
    assert figures(layup, using=using).mass_kg == figures(layup).mass_kg
