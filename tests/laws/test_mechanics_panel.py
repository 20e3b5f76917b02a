"""Laws of panels: loads add up, axes can be exchanged, held edges stiffen, more functions only soften."""

from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.mechanics.corner import convergence_power
from recipe_track.mechanics.panel import PanelResponse, panel_response
from recipe_track.mechanics.plate import Plates, energy_weights, solve
from recipe_track.mechanics.ply import reduced_stiffness, rotated_stiffness
from recipe_track.mechanics.ritz import Basis, tables
from tests.laws.mechanics_strategies import Plate, plates

TURN = [1, 0, 2]


def respond(
    plate: Plate, clamped: bool, pressure: float = 1e3, force: float = 200.0, side: float = 0.08
) -> PanelResponse:
    numbers = (np.array([number]) for number in (plate.s_x, plate.s_y, *plate.sides))
    loads = (np.array([number]) for number in (pressure, force, side))
    return panel_response(plate.d[None], *numbers, np.array([clamped]), *loads)


@given(plates(), st.booleans(), st.sampled_from([-3.7, -1.0, 0.0, 0.01, 2.3]))
def test_everything_is_proportional_to_the_load(plate: Plate, clamped: bool, times: float) -> None:
    one, other = respond(plate, clamped), respond(plate, clamped, 1e3 * times, 200.0 * times)
    assert other.deflection_m == pytest.approx(times * one.deflection_m, rel=1e-7)
    assert other.patch_deflection_m == pytest.approx(times * one.patch_deflection_m, rel=1e-7)
    size = abs(times) * np.abs(one.curvature_per_m).max()
    assert other.curvature_per_m == pytest.approx(times * one.curvature_per_m, rel=1e-7, abs=1e-7 * size)
    assert other.edge_shear_n_per_m == pytest.approx(abs(times) * one.edge_shear_n_per_m, rel=1e-6)


@given(plates(), st.booleans(), st.sampled_from([1e-6, 1e5]))
def test_the_unit_of_force_is_no_matter(plate: Plate, clamped: bool, unit: float) -> None:
    one = respond(plate, clamped)
    scaled = Plate(plate.d * unit, plate.s_x * unit, plate.s_y * unit, plate.sides)
    other = respond(scaled, clamped, 1e3 * unit, 200.0 * unit)
    assert other.deflection_m == pytest.approx(one.deflection_m, rel=1e-7)
    assert other.patch_deflection_m == pytest.approx(one.patch_deflection_m, rel=1e-7)
    assert other.edge_shear_n_per_m == pytest.approx(one.edge_shear_n_per_m * unit, rel=1e-6)


@given(plates(), st.booleans(), st.sampled_from([0.04, 25.0]), st.floats(1.0, 12.0))
def test_the_unit_of_length_is_no_matter(plate: Plate, clamped: bool, unit: float, longer: float) -> None:
    sides = (plate.sides[0] * longer, plate.sides[1])
    one = respond(Plate(plate.d, plate.s_x, plate.s_y, sides), clamped)
    scaled = Plate(plate.d * unit**2, plate.s_x, plate.s_y, (sides[0] * unit, sides[1] * unit))
    other = respond(scaled, clamped, 1e3 / unit, 200.0 * unit, 0.08 * unit)
    assert other.deflection_m == pytest.approx(one.deflection_m * unit, rel=1e-7)
    assert other.patch_deflection_m == pytest.approx(one.patch_deflection_m * unit, rel=1e-7)
    size = np.abs(one.curvature_per_m).max()
    assert other.curvature_per_m * unit == pytest.approx(one.curvature_per_m, rel=1e-6, abs=1e-7 * size)


@given(plates(), st.booleans())
def test_axes_can_be_exchanged(plate: Plate, clamped: bool) -> None:
    exchanged = Plate(plate.d[TURN][:, TURN], plate.s_y, plate.s_x, plate.sides[::-1])
    one, other = respond(plate, clamped), respond(exchanged, clamped)
    assert other.deflection_m == pytest.approx(one.deflection_m, rel=1e-6)
    assert other.patch_deflection_m == pytest.approx(one.patch_deflection_m, rel=1e-4)
    assert other.edge_shear_n_per_m == pytest.approx(one.edge_shear_n_per_m[:, ::-1], rel=1e-5)
    turned = one.curvature_per_m[:, [0, 3, 4, 1, 2]][:, :, TURN]
    assert other.curvature_per_m == pytest.approx(turned, rel=1e-5, abs=1e-6 * np.abs(turned).max())


@given(plates(), st.booleans())
def test_a_mirrored_panel_deflects_alike(plate: Plate, clamped: bool) -> None:
    mirror = np.array([[1.0, 1, -1], [1, 1, -1], [-1, -1, 1]])
    one, other = (
        respond(plate, clamped),
        respond(Plate(plate.d * mirror, plate.s_x, plate.s_y, plate.sides), clamped),
    )
    assert other.deflection_m == pytest.approx(one.deflection_m, rel=1e-8)
    assert other.patch_deflection_m == pytest.approx(one.patch_deflection_m, rel=1e-8)
    assert other.curvature_per_m[..., 2] == pytest.approx(
        -one.curvature_per_m[..., 2], rel=1e-6, abs=1e-7 * np.abs(one.curvature_per_m).max()
    )


@given(plates())
def test_clamped_edges_are_stiffer(plate: Plate) -> None:
    held, supported = respond(plate, True), respond(plate, False)
    assert 0 < held.deflection_m < supported.deflection_m
    assert 0 < held.patch_deflection_m < supported.patch_deflection_m


@given(plates(), st.booleans())
def test_stiffer_plates_deflect_less(plate: Plate, clamped: bool) -> None:
    bent, sheared = (
        Plate(plate.d * 1.1, plate.s_x, plate.s_y, plate.sides),
        Plate(plate.d, plate.s_x * 1.1, plate.s_y * 1.1, plate.sides),
    )
    whole = Plate(plate.d * 1.1, plate.s_x * 1.1, plate.s_y * 1.1, plate.sides)
    one = respond(plate, clamped)
    assert respond(bent, clamped).deflection_m < one.deflection_m
    assert respond(sheared, clamped).deflection_m < one.deflection_m
    assert respond(whole, clamped).deflection_m == pytest.approx(one.deflection_m / 1.1, rel=1e-7)


@given(plates(), st.booleans())
def test_a_force_over_the_whole_panel_is_a_pressure(plate: Plate, clamped: bool) -> None:
    area = plate.sides[0] * plate.sides[1]
    found = respond(plate, clamped, 1e3, 1e3 * area, 2.0)
    assert found.patch_deflection_m == pytest.approx(found.deflection_m, rel=2e-3)


@given(plates(), st.booleans())
def test_a_force_on_a_smaller_square_pushes_deeper(plate: Plate, clamped: bool) -> None:
    deflections = [respond(plate, clamped, side=side).patch_deflection_m[0] for side in (0.02, 0.1, 0.2)]
    assert deflections[0] > deflections[1] > deflections[2] > 0


@given(plates(), st.booleans())
def test_supported_edges_carry_no_moment_and_held_ones_do_not_turn(plate: Plate, clamped: bool) -> None:
    curvature = respond(plate, clamped).curvature_per_m[0]
    size = np.abs(plate.d).max() * np.abs(curvature).max()
    assert np.abs(curvature[[1, 2], 1]).max() == 0 == np.abs(curvature[[3, 4], 0]).max()
    across = np.array([(plate.d @ curvature[1])[0], (plate.d @ curvature[3])[1]])
    if clamped:
        assert (across < 0).all()
    else:
        assert np.abs(across).max() < 1e-6 * size


def work(plate: Plate, clamped: bool, count: int) -> float:
    """Work of a unit pressure in the plate solved with so many functions a side."""
    one = np.ones(1)
    batch = Plates(
        plate.d[None],
        plate.s_x * one,
        plate.s_y * one,
        plate.sides[0] * one,
        plate.sides[1] * one,
        one,
        one,
        one,
    )
    found = tables(Basis(count, count, clamped, full=True))
    size = len(found.load)
    matrix = (energy_weights(batch) @ found.stiffness.reshape(-1, size * size)).reshape(size, size)
    return float(found.load @ np.linalg.solve(matrix, found.load))


@given(plates(), st.booleans())
def test_more_functions_only_soften(plate: Plate, clamped: bool) -> None:
    works = np.array([work(plate, clamped, count) for count in (4, 6, 8, 10)])
    assert (np.diff(works) >= -1e-9 * works[-1]).all()


def deflection(d: np.ndarray, shear: float, clamped: bool, count: int) -> float:
    one = np.ones(1)
    batch = Plates(d[None], shear * one, shear * one, 0.5 * one, 0.5 * one, one, one, one)
    return float(solve(batch, Basis(count, count, clamped, full=True), with_patch=False).deflection_m[0])


def test_a_smooth_plate_converges_faster_than_any_low_power() -> None:
    """Clamped square: the error falls at least as the fifth power of the number of functions."""
    at = partial(deflection, 1e3 * np.array([[1, 0.3, 0], [0.3, 1, 0], [0, 0, 0.35]]), 1e6, True)
    exact = at(22)
    errors = np.abs(np.array([at(count) for count in (4, 8, 16)]) - exact)
    assert np.log2(errors[0] / errors[1]) > 5
    assert errors[2] < errors[1] / 32 or errors[2] < 1e-6 * exact


@pytest.mark.parametrize("angle_deg", [30.0, 45.0])
def test_sharp_corners_converge_at_the_rate_their_exponent_gives(angle_deg: float) -> None:
    q = reduced_stiffness(np.asarray(130e9), np.asarray(8e9), np.asarray(4.5e9), np.asarray(0.3))
    d = rotated_stiffness(q, np.radians(np.asarray(angle_deg))) * 0.003**3 / 12
    steps = np.diff([deflection(d, 1e7, False, count) for count in (12, 18, 27)])
    measured = np.log(steps[0] / steps[1]) / np.log(1.5)
    assert measured == pytest.approx(float(convergence_power(d[None])[0]), abs=0.35)
