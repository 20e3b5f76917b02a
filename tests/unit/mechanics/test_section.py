"""Stiffener sections against closed forms for beams."""

import numpy as np
import pytest

from recipe_track.mechanics.section import (
    HatShape,
    Parts,
    Wall,
    bending_stiffness,
    flow_moment,
    former,
    girth,
    hat,
    joined,
    plating,
    section_modulus,
    wall,
    web_shear_stiffness,
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
    sheet = wall(np.array([STEEL]), np.array([t]))
    box = hat(HatShape(0.06, 0.04, 0.04), sheet, sheet, sheet)
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
    sheet = wall(np.array([STEEL]), np.array([t]))
    laminate = hat(shape, sheet, sheet, sheet)
    length = np.hypot(0.03, 0.04)
    expected = STEEL * length * t * (0.03**2 + t**2 * (0.04 / length) ** 2) / 12
    assert laminate.ei[1] == pytest.approx(expected)
    assert laminate.ea[1] == pytest.approx(STEEL * length * t)
    assert laminate.height_m[[0, 1, 3]] == pytest.approx([0.032, 0.015, 0.002])


def test_flanges_and_crown_lie_flat() -> None:
    sheet = Wall(7e6, 0.001, 3.0, 0.002)
    laminate = hat(HatShape(0.03, 0.02, 0.02, 0.05), sheet, sheet, sheet)
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


def test_a_wall_of_several_lines_bends_about_the_axis_they_share() -> None:
    """Two lines of 1 and 2 mm, the outer one twice as stiff: by hand from the inner face."""
    found = wall(np.array([10e9, 20e9]), np.array([1e-3, 2e-3]))
    assert found.ea == pytest.approx(50e6)
    assert found.axis_m == pytest.approx((10e6 * 0.5e-3 + 40e6 * 2e-3) / 50e6)
    own = 10e6 * 1e-6 / 12 + 40e6 * 4e-6 / 12
    assert found.ei == pytest.approx(own + 10e6 * (1.2e-3) ** 2 + 40e6 * (0.3e-3) ** 2, rel=1e-9)
    assert found.thickness_m == pytest.approx(3e-3)


def test_a_wall_of_nothing_carries_nothing() -> None:
    assert wall(np.zeros(0), np.zeros(0)) == Wall(0.0, 0.0, 0.0, 0.0)


def test_every_part_of_a_hat_has_its_own_wall() -> None:
    crown, web, flange = Wall(1.0, 0.1, 0.2, 0.2), Wall(2.0, 0.3, 0.4, 0.6), Wall(3.0, 0.5, 0.6, 1.0)
    found = hat(HatShape(4.0, 2.0, 8.0, 5.0), crown, web, flange)
    assert found.ea == pytest.approx([2.0, 10.0, 10.0, 15.0, 15.0])
    assert found.height_m == pytest.approx([4.1, 2.0, 2.0, 0.5, 0.5])
    assert found.ei == pytest.approx(
        [0.4, 10 * 16 / 12 + 0.4 * 5 * 0.36, 10 * 16 / 12 + 0.4 * 5 * 0.36, 3.0, 3.0]
    )


@pytest.mark.parametrize("axis", [-0.02, 0.0, 0.021, 0.05, 0.08, 0.11])
def test_what_lies_above_the_axis_is_added_up_in_slices(axis: float) -> None:
    """Webs and former cut into thin slices; an axis outside the webs cuts them at their nearer end."""
    shape = HatShape(0.08, 0.06, 0.09, 0.05)
    crown, web = wall(np.array([30e9]), np.array([4e-3])), wall(np.array([15e9]), np.array([5e-3]))
    z = (np.arange(400_000) + 0.5) / 400_000 * 0.08
    width = 0.09 - 0.03 * z / 0.08
    per_height = 2 * web.ea * np.hypot(0.08, 0.015) / 0.08 + 5e8 * width
    sliced = (per_height * (z - axis) * (z > axis)).mean() * 0.08
    expected = sliced + crown.ea * 0.06 * (0.08 + 0.002 - axis)
    assert flow_moment(shape, crown, web, 5e8, axis) == pytest.approx(expected, rel=1e-4)


def test_former_and_webs_share_the_shear() -> None:
    shape = HatShape(0.08, 0.06, 0.09)
    webs = web_shear_stiffness(shape, 2e7)
    assert webs == pytest.approx(2 * 2e7 * 0.08**2 / np.hypot(0.08, 0.015))
    assert web_shear_stiffness(shape, 2e7, 3e7) == pytest.approx(webs + 3e7 * 0.08 * 0.075)


def test_a_part_that_carries_nothing_has_no_modulus_of_section() -> None:
    assert section_modulus(1e3, 0.0, 0.1) == 0.0
    assert section_modulus(1e3, 10e9, 0.05) == pytest.approx(2e-6)
