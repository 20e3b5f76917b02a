"""Margins: strains, core shear and wrinkling worked out by hand."""

import numpy as np
import pytest

from recipe_track.mechanics.laminate import Stiffness, mid_plane_strain, ply_bounds, stiffness
from recipe_track.mechanics.margins import MODES, core_shear_use, strain_use, wrinkling_stress, wrinkling_use
from recipe_track.mechanics.ply import reduced_stiffness

NAN = np.nan
PLATE = Stiffness(np.eye(3)[None] * 1e7, np.zeros((1, 3, 3)), np.eye(3)[None] * 10)
UNCHECKED = [NAN, NAN, NAN, NAN]


def use_of(curvature, angle_deg=0.0, random=False, limits=(0.004, 0.003, 0.002, 0.006), z=(0.001, 0.002)):  # type: ignore[no-untyped-def]
    return strain_use(
        PLATE,
        np.array([curvature], dtype=float),
        np.array([[z]]),
        np.array([[np.radians(angle_deg)]]),
        np.array([[random]]),
        np.array([[limits]], dtype=float),
    )


def governs(found):  # type: ignore[no-untyped-def]
    return MODES[found.mode[0]], int(found.place[0]), int(found.face[0])


def test_the_farther_face_in_tension_governs() -> None:
    found = use_of([[1.0, 0, 0], [0.5, 0, 0]])
    assert found.use == pytest.approx([0.002 / 0.004])
    assert governs(found) == ("tension", 0, 1)


def test_compression_counts_against_its_own_limit() -> None:
    found = use_of([[0.5, 0, 0], [-1.0, 0, 0]])
    assert found.use == pytest.approx([0.002 / 0.003])
    assert governs(found) == ("compression", 1, 1)


def test_the_inner_face_governs_where_it_lies_farther_out() -> None:
    assert governs(use_of([[1.0, 0, 0]], z=(-0.003, 0.001))) == ("compression", 0, 0)


def test_across_the_fibre_and_in_shear_only_the_size_counts() -> None:
    across, shear = use_of([[0, -1.0, 0]]), use_of([[0, 0, -2.0]])
    assert across.use == pytest.approx([0.002 / 0.002])
    assert governs(across)[0] == "transverse"
    assert shear.use == pytest.approx([0.004 / 0.006])
    assert governs(shear)[0] == "shear"


def test_strain_is_taken_along_the_fibre() -> None:
    found = use_of([[0, 0, 1.0]], angle_deg=45.0, limits=(0.004, NAN, NAN, NAN))
    assert found.use == pytest.approx([0.001 / 0.004])


def test_a_random_ply_takes_principal_strains_and_nothing_else() -> None:
    found = use_of([[0, 0, 1.0]], random=True, limits=(0.004, 0.002, 1e-9, 1e-9))
    assert found.use == pytest.approx([0.001 / 0.002])
    assert governs(found)[0] == "compression"
    assert use_of([[1.0, 1.0, 0]], random=True).use == pytest.approx([0.002 / 0.004])


def test_principal_strains_are_those_of_the_circle() -> None:
    """O. Mohr's circle: εx 3, εy −1, γ 3 has its centre at 1 and the radius √(2² + 1.5²) = 2.5."""
    strain = [[1.5, -0.5, 1.5]]  # at height 2 mm: 0.003, −0.001, 0.003
    pulled = use_of(strain, random=True, limits=(0.001, 1.0, NAN, NAN))
    pressed = use_of(strain, random=True, limits=(1.0, 0.001, NAN, NAN))
    assert pulled.use == pytest.approx([3.5])
    assert pressed.use == pytest.approx([1.5])
    assert (governs(pulled)[0], governs(pressed)[0]) == ("tension", "compression")


def test_what_has_no_limit_is_not_checked() -> None:
    found = use_of([[1.0, 0, 0]], limits=UNCHECKED)
    assert np.isnan(found.use[0])
    assert [int(index[0]) for index in (found.ply, found.place, found.face, found.mode)] == [-1] * 4


def test_the_strain_of_the_middle_is_added() -> None:
    coupled = Stiffness(np.eye(3)[None] * 1e7, np.diag([1e4, 0.0, 0.0])[None], np.eye(3)[None] * 10)
    curvature = np.array([[[1.0, 0, 0]]])
    assert mid_plane_strain(coupled, curvature)[0, 0, 0] == pytest.approx(-0.001)
    args = np.array([[[0.001, 0.002]]]), np.zeros((1, 1)), np.array([[False]]), np.array([[[0.004] * 4]])
    assert strain_use(coupled, curvature, *args).use == pytest.approx([0.001 / 0.004])


def test_each_panel_has_its_own_governing_ply() -> None:
    laminates = Stiffness(*(np.repeat(matrix, 2, axis=0) for matrix in (PLATE.a, PLATE.b, PLATE.d)))
    found = strain_use(
        laminates,
        np.array([[[1.0, 0, 0]], [[1.0, 0, 0]]]),
        np.array([[[0.0, 0.001], [0.001, 0.002]]] * 2),
        np.zeros((2, 2)),
        np.zeros((2, 2), dtype=bool),
        np.array([[[0.004] * 4, [0.004] * 4], [[0.001] * 4, UNCHECKED]]),
    )
    assert found.use == pytest.approx([0.5, 1.0])
    assert found.ply.tolist() == [1, 0]


def test_core_shear_is_force_times_flow_over_strength() -> None:
    found = core_shear_use(
        np.array([[3e3, 9e3], [3e3, 9e3]]),
        np.array([[[60.0, 60.0], [50.0, 40.0], [60.0, 60.0]]] * 2),
        np.array([[NAN, 1e6, NAN], [NAN, NAN, NAN]]),
    )
    assert found.use[0] == pytest.approx(9e3 * 40 / 1e6)
    assert (found.ply[0], found.direction[0]) == (1, 1)
    assert np.isnan(found.use[1])
    assert (found.ply[1], found.direction[1]) == (-1, -1)


FACE = reduced_stiffness(np.array(20e9), np.array(10e9), np.array(4e9), np.array(0.25))
STACK = np.stack([FACE, np.zeros((3, 3)), FACE])
THICKNESS = np.array([0.002, 0.020, 0.003])
IN_FACE = np.array([[[True, False, False], [False, False, True]]])


def wrinkling(curvature, core=(90e6, 90e6), in_face=IN_FACE):  # type: ignore[no-untyped-def]
    laminate = stiffness(STACK[None], THICKNESS[None])
    z = ply_bounds(THICKNESS)
    return wrinkling_use(
        laminate,
        np.array([curvature], dtype=float),
        STACK[None],
        THICKNESS[None],
        ((z[:-1] + z[1:]) / 2)[None],
        in_face,
        np.array([core], dtype=float),
        np.full((1, 2), 30e6),
    )


def test_a_face_wrinkles_at_half_the_cube_root_of_the_three_moduli() -> None:
    """Worked by hand: 0.5 (8e9 · 1e8 · 2.7e7)^(1/3), cube roots 2000, 464.16 and 300."""
    assert wrinkling_stress(np.array(8e9), np.array(1e8), np.array(2.7e7)) == pytest.approx(
        139.248e6, rel=1e-5
    )


def test_the_pressed_face_wrinkles() -> None:
    """Bent about x alone with free sides the face forces are ± M/d; here by hand from its own strain."""
    laminate = stiffness(STACK[None], THICKNESS[None])
    curvature = np.array([[[0.2, -0.05, 0.0]]])
    strain = mid_plane_strain(laminate, curvature)[0, 0] + curvature[0, 0] * (-0.0125 + 0.001)
    found = wrinkling(curvature[0])
    assert found.use == pytest.approx([-(FACE @ strain)[0] / wrinkling_stress(20e9, 90e6, 30e6)])
    assert (found.face[0], found.place[0], found.direction[0]) == (0, 0, 0)


def test_bent_the_other_way_the_other_face_wrinkles() -> None:
    found = wrinkling([[0.0, 0.0, 0.0], [0.0, -0.2, 0.0]])
    assert (found.face[0], found.place[0], found.direction[0]) == (1, 1, 1)


def test_a_face_on_a_core_of_unknown_stiffness_is_not_checked() -> None:
    assert wrinkling([[0.2, 0.0, 0.0]], core=(NAN, 90e6)).face[0] == 1
    assert np.isnan(wrinkling([[0.2, 0.0, 0.0]], core=(NAN, NAN)).use[0])


def test_a_stack_without_faces_is_not_checked() -> None:
    found = wrinkling([[0.2, 0.0, 0.0]], in_face=np.zeros((1, 2, 3), dtype=bool))
    assert np.isnan(found.use[0])
    assert found.face[0] == -1


def test_places_that_differ_by_rounding_alone_are_equal() -> None:
    """Otherwise what governs would differ from one machine to the next."""
    nearly, clearly = np.array([[1.0, 1.0 + 1e-14]]), np.array([[1.0, 1.0 + 1e-6]])
    strength = np.array([[1e6]])
    assert core_shear_use(nearly, np.ones((1, 1, 2)), strength).direction.tolist() == [0]
    assert core_shear_use(clearly, np.ones((1, 1, 2)), strength).direction.tolist() == [1]
