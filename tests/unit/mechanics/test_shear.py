"""Shear flow through stacks: closed forms, coatings, and plies that carry nothing."""

import numpy as np
import pytest

from recipe_track.mechanics.shear import peak_shear_flow, transverse_shear_stiffness


def test_a_homogeneous_strip_gives_five_sixths() -> None:
    e, g, t = np.full(4, 12e9), np.full(4, 3e9), np.array([0.001, 0.0005, 0.003, 0.0015])
    assert transverse_shear_stiffness(e, g, t) == pytest.approx(5 / 6 * 3e9 * 0.006, rel=1e-12)


def test_thin_faces_on_a_soft_core_give_g_d_squared_over_c() -> None:
    e, g, t = np.array([70e9, 1e3, 70e9]), np.array([27e9, 20e6, 27e9]), np.array([1e-5, 0.02, 1e-5])
    assert transverse_shear_stiffness(e, g, t) == pytest.approx(20e6 * (0.02 + 1e-5) ** 2 / 0.02, rel=1e-5)


def test_the_flow_of_a_homogeneous_strip_peaks_at_one_and_a_half_times_the_mean() -> None:
    peak = peak_shear_flow(np.full(3, 5e9), np.array([0.002, 0.003, 0.001]))
    mean = 1 / 0.006
    assert peak == pytest.approx([1.5 * mean * 8 / 9, 1.5 * mean, 1.5 * mean * 5 / 9], rel=1e-12)


def test_the_flow_through_a_core_without_stiffness_is_constant() -> None:
    peak = peak_shear_flow(np.array([10e9, 0.0, 10e9]), np.array([0.002, 0.02, 0.002]))
    ei = 10e9 * (0.024**3 - 0.02**3) / 12
    assert peak[1] == pytest.approx(10e9 * 0.002 * 0.011 / ei, rel=1e-12)


def test_coatings_store_no_energy_and_pads_change_nothing() -> None:
    bare = transverse_shear_stiffness(
        np.array([9e9, 0.0, 9e9]), np.array([3e9, 3e7, 3e9]), np.array([2e-3, 0.02, 3e-3])
    )
    dressed = transverse_shear_stiffness(
        np.array([0.0, 9e9, 0.0, 9e9, 0.0, 0.0]),
        np.array([0.0, 3e9, 3e7, 3e9, 0.0, 0.0]),
        np.array([6e-4, 2e-3, 0.02, 3e-3, 5e-4, 0.0]),
    )
    assert dressed == pytest.approx(bare, rel=1e-12)


def test_a_stack_that_carries_nothing_gives_zero_and_disturbs_no_neighbour() -> None:
    e, g, t = np.array([[0.0], [6e9]]), np.array([[3e7], [2e9]]), np.array([[0.02], [0.004]])
    assert transverse_shear_stiffness(e, g, t) == pytest.approx([0.0, 5 / 6 * 2e9 * 0.004])
    assert peak_shear_flow(e, t) == pytest.approx(np.array([[0.0], [1.5 / 0.004]]))


def test_a_stiff_ply_without_shear_modulus_leaves_no_shear_stiffness() -> None:
    assert (
        transverse_shear_stiffness(np.array([9e9, 9e9]), np.array([3e9, 0.0]), np.array([0.001, 0.001]))
        == 0.0
    )


def test_a_pad_of_stiff_material_without_thickness_is_no_matter() -> None:
    e, g, t = np.array([9e9, 9e9]), np.array([3e9, 0.0]), np.array([0.001, 0.0])
    assert transverse_shear_stiffness(e, g, t) == pytest.approx(5 / 6 * 3e9 * 0.001)
