"""Plies: the limits of the formulas, and plies that carry nothing."""

import numpy as np
import pytest

from recipe_track.mechanics.ply import (
    cured_ply,
    random_mat_constants,
    reduced_stiffness,
    rotated_stiffness,
    strain_rotation,
    unidirectional_constants,
    with_voids,
)


def test_a_ply_of_fibre_alone_is_as_thick_as_the_fibre() -> None:
    thickness, fraction = cured_ply(np.array(0.5), np.array(1.0), np.array(2500.0), np.array(1200.0))
    assert thickness == pytest.approx(0.5 / 2500)
    assert fraction == pytest.approx(1.0)


def test_volume_of_fibre_and_resin_makes_the_thickness() -> None:
    thickness, fraction = cured_ply(np.array(0.6), np.array(0.5), np.array(2400.0), np.array(1200.0))
    assert thickness == pytest.approx(0.6 / 2400 + 0.6 / 1200)
    assert fraction == pytest.approx(1 / 3)


def test_without_fibre_a_ply_is_resin_in_shear_and_under_plane_strain_across() -> None:
    e1, e2, g12, nu12 = unidirectional_constants(
        np.array(0.0),
        np.array(73e9),
        np.array(60e9),
        np.array(30e9),
        np.array(0.2),
        np.array(3e9),
        np.array(0.35),
    )
    assert e1 == pytest.approx(3e9)
    assert e2 == pytest.approx(3e9 / (1 - 0.35**2))
    assert g12 == pytest.approx(3e9 / 2.7)
    assert nu12 == pytest.approx(0.35)


def test_a_ply_of_fibre_alone_has_the_fibres_moduli_times_the_fitted_factors() -> None:
    e1, e2, g12, nu12 = unidirectional_constants(
        np.array(1.0),
        np.array(230e9),
        np.array(15e9),
        np.array(20e9),
        np.array(0.2),
        np.array(3e9),
        np.array(0.35),
    )
    assert (e1, nu12) == (pytest.approx(230e9), pytest.approx(0.2))
    assert e2 == pytest.approx(15e9 * 1.85)
    assert g12 == pytest.approx(20e9 * 1.6)


def test_a_mat_is_isotropic_in_its_plane() -> None:
    e, g, nu = random_mat_constants(np.array(40e9), np.array(8e9))
    q = reduced_stiffness(e, e, g, nu)
    assert rotated_stiffness(q, np.array(0.7)) == pytest.approx(q, rel=1e-12, abs=1e-3)


def test_a_ply_without_stiffness_gives_zero_and_disturbs_no_neighbour() -> None:
    q = reduced_stiffness(
        np.array([0.0, 70e9]), np.array([0.0, 70e9]), np.array([0.0, 27e9]), np.array([0.0, 0.3])
    )
    assert not q[0].any()
    assert q[1, 0, 0] == pytest.approx(70e9 / (1 - 0.09))


def test_strain_along_a_fibre_at_45_degrees() -> None:
    strain = strain_rotation(np.array(np.pi / 4)) @ np.array([0.002, 0.001, 0.0006])
    assert strain == pytest.approx([0.0018, 0.0012, -0.001])


FIBRE_AND_RESIN = (73e9, 60e9, 30e9, 0.2, 3e9, 0.35)


def constants_at(fraction: float, voids: float) -> list[float]:
    given = (np.array(value) for value in FIBRE_AND_RESIN)
    return [float(value) for value in unidirectional_constants(np.array(fraction), *given, np.array(voids))]


def test_voids_thicken_a_ply_and_thin_out_its_fibre_and_weigh_nothing() -> None:
    thickness, fraction = with_voids(np.array(0.95e-3), np.array(0.5), np.array(0.05))
    assert thickness == pytest.approx(1e-3)
    assert fraction == pytest.approx(0.475)
    assert thickness * fraction == pytest.approx(0.95e-3 * 0.5)


def test_voids_are_taken_out_of_the_resin() -> None:
    """Worked by hand: fibre 0.4, voids 0.1, so resin 0.5; 5/6 of what lies between the fibres is solid."""
    e1, e2, g12, nu12 = constants_at(0.4, 0.1)
    solid = 5 / 6
    strained, sheared = solid * 3e9 / (1 - 0.35**2), solid * 3e9 / 2.7
    assert e1 == pytest.approx(0.4 * 73e9 + 0.5 * 3e9)
    assert e2 == pytest.approx(strained * (1 + 0.85 * 0.16) / (0.6**1.25 + 0.4 * strained / 60e9))
    assert g12 == pytest.approx(sheared * (1 + 0.6 * 0.4**0.5) / (0.6**1.25 + 0.4 * sheared / 30e9))
    assert nu12 == constants_at(0.4, 0.0)[3]


def test_no_voids_change_no_digit_and_fibre_alone_has_no_room_for_any() -> None:
    given = (np.array(value) for value in FIBRE_AND_RESIN)
    plain = [float(value) for value in unidirectional_constants(np.array(0.37), *given)]
    assert constants_at(0.37, 0.0) == plain
    assert np.isfinite(constants_at(1.0, 0.0)).all()
