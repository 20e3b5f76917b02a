"""Laminates: positions, strips, panels, and stacks that carry nothing."""

import numpy as np
import pytest

from recipe_track.mechanics.laminate import (
    Stiffness,
    engineering_constants,
    mid_plane_strain,
    ply_bounds,
    reduced_bending,
    stiffness,
    strip_stiffness,
)
from recipe_track.mechanics.ply import reduced_stiffness

ALUMINIUM = reduced_stiffness(np.array(70e9), np.array(70e9), np.array(70e9 / 2.6), np.array(0.3))


def test_heights_run_from_the_mould_face_to_the_bag_face() -> None:
    z = ply_bounds(np.array([[1.0, 2.0, 3.0], [2.0, 0.0, 0.0]]))
    assert z == pytest.approx(np.array([[-3.0, -2.0, 0.0, 3.0], [-1.0, 1.0, 1.0, 1.0]]))


def test_a_plate_of_one_material_bends_as_a_beam_when_cut_into_strips() -> None:
    ea_x, ea_y, ei_x, ei_y = strip_stiffness(stiffness(ALUMINIUM[None], np.array([0.004])))
    assert (ea_x, ea_y) == (pytest.approx(70e9 * 0.004), pytest.approx(70e9 * 0.004))
    assert (ei_x, ei_y) == (pytest.approx(70e9 * 0.004**3 / 12), pytest.approx(70e9 * 0.004**3 / 12))


def test_a_coating_moves_the_mid_plane_and_leaves_the_panel_as_stiff() -> None:
    bare = stiffness(ALUMINIUM[None], np.array([0.004]))
    coated = stiffness(np.stack([np.zeros((3, 3)), ALUMINIUM]), np.array([0.002, 0.004]))
    assert coated.b == pytest.approx(bare.a * 0.001)
    assert reduced_bending(coated) == pytest.approx(bare.d, rel=1e-12)


def test_a_stack_that_carries_nothing_gives_zero_and_disturbs_no_neighbour() -> None:
    q_bar = np.stack([np.zeros((2, 3, 3)), np.stack([ALUMINIUM, np.zeros((3, 3))])])
    both = stiffness(q_bar, np.array([[0.001, 0.02], [0.004, 0.0]]))
    assert [float(value[0]) for value in strip_stiffness(both)] == [0.0, 0.0, 0.0, 0.0]
    assert strip_stiffness(both)[2][1] == pytest.approx(70e9 * 0.004**3 / 12)
    assert not reduced_bending(both)[0].any()


def test_bending_a_coated_plate_strains_its_own_middle_not() -> None:
    coated = stiffness(np.stack([np.zeros((3, 3)), ALUMINIUM]), np.array([0.002, 0.004]))
    curvature = np.array([[0.1, -0.02, 0.03], [0.0, 0.2, 0.0]])
    assert mid_plane_strain(coated, curvature) + 0.001 * curvature == pytest.approx(0.0, abs=1e-15)


def test_strips_agree_with_the_inverse_of_the_whole_six_by_six() -> None:
    random = np.random.default_rng(7)
    root = random.normal(size=(5, 6, 6))
    whole = root @ np.swapaxes(root, -1, -2)
    whole[:, :3, 3:] = (whole[:, :3, 3:] + np.swapaxes(whole[:, :3, 3:], -1, -2)) / 2
    whole[:, 3:, :3] = whole[:, :3, 3:]
    whole += 12 * np.eye(6)
    full = np.linalg.inv(whole)
    strips = strip_stiffness(Stiffness(whole[:, :3, :3], whole[:, :3, 3:], whole[:, 3:, 3:]))
    for value, place in zip(strips, (0, 1, 3, 4), strict=True):
        assert value == pytest.approx(1 / full[:, place, place], rel=1e-10)


def test_the_bending_stiffness_of_panels_is_symmetric_to_the_last_digit() -> None:
    random = np.random.default_rng(3)
    root = random.normal(size=(4, 5, 3, 3))
    a = root @ np.swapaxes(root, -1, -2) + np.eye(3)
    b = 0.1 * (root + np.swapaxes(root, -1, -2))
    d_star = reduced_bending(Stiffness(a, b, 3 * a))
    assert (d_star == np.swapaxes(d_star, -1, -2)).all()


def test_constants_of_an_isotropic_sheet_are_its_own() -> None:
    q = reduced_stiffness(*(np.array([[value]]) for value in (70e9, 70e9, 70e9 / 2.6, 0.3)))
    found = engineering_constants(stiffness(q, np.array([[2e-3]])), np.array([2e-3]))
    assert found.ex_pa == pytest.approx([70e9])
    assert found.ey_pa == pytest.approx([70e9])
    assert found.gxy_pa == pytest.approx([70e9 / 2.6])
    assert found.nu_xy == pytest.approx([0.3])


def test_a_laminate_that_carries_nothing_has_no_moduli() -> None:
    nothing = np.zeros((1, 3, 3))
    found = engineering_constants(Stiffness(nothing, nothing, nothing), np.array([1e-3]))
    assert (found.ex_pa, found.ey_pa, found.gxy_pa) == (0.0, 0.0, 0.0)
    assert np.isnan(found.nu_xy).all()
