"""Stiffener sections against closed forms for beams."""

import numpy as np
import pytest

from recipe_track.mechanics.section import (
    HatShape,
    Parts,
    bending_stiffness,
    former,
    girth,
    hat,
    joined,
    plating,
)

STEEL = 200e9


def test_one_part_bends_about_its_own_axis() -> None:
    ei, axis = bending_stiffness(Parts(np.array([5.0]), np.array([0.3]), np.array([2.0])))
    assert (ei, axis) == (pytest.approx(2.0), pytest.approx(0.3))


def test_a_t_beam_of_one_material_is_that_of_the_tables() -> None:
    """Flange 100 × 10 mm under a web of 10 × 90 mm; parallel axes by hand."""
    flange, web = (
        plating(STEEL * 0.010, STEEL * 0.010**3 / 12, -0.005, 0.100),
        former(HatShape(0.09, 0.01, 0.01), STEEL),
    )
    ei, axis = bending_stiffness(joined(flange, web))
    area_f, area_w, z_f, z_w = 0.1 * 0.01, 0.01 * 0.09, -0.005, 0.045
    z0 = (area_f * z_f + area_w * z_w) / (area_f + area_w)
    second = 0.1 * 0.01**3 / 12 + area_f * (z_f - z0) ** 2 + 0.01 * 0.09**3 / 12 + area_w * (z_w - z0) ** 2
    assert axis == pytest.approx(z0)
    assert ei == pytest.approx(STEEL * second)


def test_a_box_tube_is_the_difference_of_two_rectangles() -> None:
    """Thin walls on a 60 × 40 mm former with a bottom plate: outer less inner rectangle, both exact."""
    t = 1e-5
    box = hat(HatShape(0.06, 0.04, 0.04), STEEL * t, t, STEEL * t**3 / 12)
    bottom = plating(STEEL * t, STEEL * t**3 / 12, -t / 2, 0.04)
    ei, axis = bending_stiffness(joined(box, bottom))
    outer, inner = (0.04 + 2 * t) * (0.06 + 2 * t) ** 3, 0.04 * 0.06**3
    assert axis == pytest.approx(0.03, rel=1e-6)
    assert ei == pytest.approx(STEEL * (outer - inner) / 12, rel=1e-3)


def test_a_former_is_a_trapezium() -> None:
    """Against the trapezium integrated in slices."""
    shape = HatShape(0.08, 0.05, 0.12)
    part = former(shape, 3e7)
    z = (np.arange(200_000) + 0.5) / 200_000 * 0.08
    width = 0.12 + (0.05 - 0.12) * z / 0.08
    area = width.mean() * 0.08
    centroid = (width * z).mean() * 0.08 / area
    assert part.ea == pytest.approx([3e7 * area])
    assert part.height_m == pytest.approx([centroid])
    assert part.ei == pytest.approx([3e7 * (width * (z - centroid) ** 2).mean() * 0.08], rel=1e-8)


def test_a_leaning_web_is_a_rotated_rectangle() -> None:
    """I of a rectangle l × t whose long side leans: (A l² cos² + A t² sin²)/12, any table of sections."""
    shape, t = HatShape(0.03, 0.02, 0.10), 0.004
    laminate = hat(shape, STEEL * t, t, STEEL * t**3 / 12)
    length = np.hypot(0.03, 0.04)
    expected = STEEL * length * t * (0.03**2 + t**2 * (0.04 / length) ** 2) / 12
    assert laminate.ei[1] == pytest.approx(expected)
    assert laminate.ea[1] == pytest.approx(STEEL * length * t)
    assert laminate.height_m[[0, 1, 3]] == pytest.approx([0.032, 0.015, 0.002])


def test_flanges_and_crown_lie_flat() -> None:
    laminate = hat(HatShape(0.03, 0.02, 0.02, 0.05), 7e6, 0.002, 3.0)
    assert laminate.ea[[0, 3, 4]] == pytest.approx([7e6 * 0.02, 7e6 * 0.05, 7e6 * 0.05])
    assert laminate.ei[[0, 3, 4]] == pytest.approx([0.06, 0.15, 0.15])


def test_girth_runs_over_flanges_webs_and_crown() -> None:
    assert girth(HatShape(0.03, 0.02, 0.10, 0.05)) == pytest.approx(0.02 + 2 * 0.05 + 2 * 0.05)


def test_a_section_that_carries_nothing_has_no_stiffness() -> None:
    ei, axis = bending_stiffness(former(HatShape(0.08, 0.05, 0.12), 0.0))
    assert (ei, axis) == (0.0, 0.0)


def test_many_sections_at_once() -> None:
    ea, height = np.array([[1.0, 1.0], [2.0, 6.0]]), np.array([[0.0, 2.0], [0.0, 4.0]])
    ei, axis = bending_stiffness(Parts(ea, height, np.zeros((2, 2))))
    assert axis == pytest.approx([1.0, 3.0])
    assert ei == pytest.approx([2.0, 2 * 9 + 6 * 1])


def test_a_wall_whose_own_bending_is_not_given_has_none() -> None:
    flat = hat(HatShape(0.03, 0.02, 0.02, 0.05), 7e6, 0.002)
    assert flat.ei[[0, 3, 4]] == pytest.approx([0.0, 0.0, 0.0])
