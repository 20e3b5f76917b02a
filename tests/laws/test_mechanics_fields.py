"""Laws of fields: a use never falls below that of five places, loads add up, axes can be exchanged."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.mechanics.field_margins import (
    BOTH,
    MOULD,
    greatest_core_shear_use,
    greatest_strain_use,
    greatest_wrinkling_use,
)
from recipe_track.mechanics.frequency import added_water_mass, natural_frequency
from recipe_track.mechanics.held import held_deflection
from recipe_track.mechanics.laminate import Stiffness, ply_bounds, reduced_bending
from recipe_track.mechanics.margins import core_shear_use, strain_use, wrinkling_use
from recipe_track.mechanics.membrane import membrane_deflection
from recipe_track.mechanics.panel import PanelFields, panel_fields, panel_response
from recipe_track.mechanics.places import CENTRE, PANEL_PLACES
from recipe_track.mechanics.shear import peak_shear_flow
from tests.laws.mechanics_strategies import Plate, Stack, plates, stacks

LIMITS = np.array([0.012, 0.009, 0.004, 0.014])
SIDES = st.tuples(st.floats(0.25, 2.5), st.floats(0.25, 1.2))


def fields(
    plate: Plate, clamped: bool, pressure: float = 1e3, force: float = 200.0, side: float = 0.08
) -> PanelFields:
    numbers = (np.array([number]) for number in (plate.s_x, plate.s_y, *plate.sides))
    loads = (np.array([number]) for number in (pressure, force, side))
    return panel_fields(plate.d[None], *numbers, np.array([clamped]), *loads)


def panel_of(stack: Stack, sides: tuple[float, float]) -> Plate:
    shear = stack.shear_stiffness(0), stack.shear_stiffness(1)
    return Plate(reduced_bending(stack.laminate()), *shear, sides)


@given(stacks(6), SIDES, st.booleans(), st.data())
def test_no_use_falls_below_that_of_the_centre_and_the_mid_edges(
    stack: Stack, sides: tuple[float, float], clamped: bool, data: st.DataObject
) -> None:
    count = len(stack.thickness)
    random = np.array([data.draw(st.lists(st.booleans(), min_size=count, max_size=count))])
    plate, laminate = panel_of(stack, sides), stack.laminate()
    found = fields(plate, clamped)
    few = found.response
    one = Stiffness(laminate.a[None], laminate.b[None], laminate.d[None])
    z, angle = ply_bounds(stack.thickness)[None], np.radians(stack.angle_deg)[None]
    plies = np.stack([z[:, :-1], z[:, 1:]], axis=-1), angle, random, np.broadcast_to(LIMITS, (1, count, 4))
    field = found.pressure.curvature_per_m
    for side in (MOULD, BOTH):
        use = greatest_strain_use(one, field, np.array([side]), *plies).use
        assert use >= strain_use(one, few.curvature_per_m, *plies).use * (1 - 1e-5)
    flow = np.stack([peak_shear_flow(stack.q_bar[:, k, k], stack.thickness) for k in (0, 1)], axis=-1)[None]
    strength = np.full((1, count), 1e6)
    use = greatest_core_shear_use(
        found.pressure.shear_n_per_m, flow, angle, np.stack([strength] * 2, axis=-1)
    ).use
    assert use >= core_shear_use(few.edge_shear_n_per_m, flow, strength).use * (1 - 1e-6)
    in_face = np.stack([np.arange(count) < (count + 1) // 2, np.arange(count) > count // 2])[None]
    face = stack.q_bar[None], stack.thickness[None], (z[:, :-1] + z[:, 1:]) / 2, in_face
    cores = np.full((1, 2), 9e7), np.full((1, 2), 3e7)
    use = greatest_wrinkling_use(one, field, np.array([MOULD]), *face, *cores).use
    assert use >= wrinkling_use(one, few.curvature_per_m, *face, *cores).use * (1 - 1e-6)


@given(plates(), st.booleans())
def test_the_response_is_that_of_panels_alone(plate: Plate, clamped: bool) -> None:
    numbers = (np.array([number]) for number in (plate.s_x, plate.s_y, *plate.sides))
    loads = (np.array([number]) for number in (1e3, 200.0, 0.08))
    alone = panel_response(plate.d[None], *numbers, np.array([clamped]), *loads)
    for name in alone.__slots__:
        assert getattr(fields(plate, clamped).response, name) == pytest.approx(
            getattr(alone, name), rel=1e-9, abs=1e-14
        )


@given(plates(), st.booleans(), st.sampled_from([-2.0, 0.5]))
def test_fields_are_proportional_to_the_load(plate: Plate, clamped: bool, times: float) -> None:
    one, other = fields(plate, clamped), fields(plate, clamped, 1e3 * times, 200.0 * times)
    for load in ("pressure", "patch"):
        for name in ("curvature_per_m", "shear_n_per_m"):
            before, after = (getattr(getattr(found, load), name) for found in (one, other))
            assert after == pytest.approx(times * before, rel=1e-5, abs=1e-6 * np.abs(before).max())


@given(plates(), st.booleans())
def test_the_middle_of_the_field_is_the_centre_of_the_panel(plate: Plate, clamped: bool) -> None:
    found = fields(plate, clamped)
    middle = found.pressure.curvature_per_m[0, :, CENTRE]
    assert middle == pytest.approx(found.response.curvature_per_m[0, 0], rel=1e-12, abs=1e-15)
    beneath, panel = found.patch.curvature_per_m[0, :, 231:], np.abs(found.patch.curvature_per_m[0, :, :231])
    assert panel[:, CENTRE].max() == 0 < np.abs(beneath).max()


@given(plates())
def test_a_panel_without_coupling_bends_alike_on_either_half(plate: Plate) -> None:
    straight = plate.d * np.array([[1, 1, 0], [1, 1, 0], [0, 0, 1]])
    found = fields(Plate(straight, plate.s_x, plate.s_y, plate.sides), False)
    assert found.patch is not None
    for field in (found.pressure, found.patch):
        bent = field.curvature_per_m[0, :, :231].reshape(3, 11, 21)
        mirrored = bent[:, 1:, ::-1] * np.array([1, 1, -1])[:, None, None]
        assert mirrored == pytest.approx(bent[:, 1:], rel=1e-4, abs=1e-5 * np.abs(bent).max())


@given(plates(), st.booleans())
def test_transverse_forces_carry_the_load_to_the_edges(plate: Plate, clamped: bool) -> None:
    """Of a plate that shears as sandwiches do; along the edges but for their corners."""
    shear = 60 * float(np.abs(plate.d).max()) / min(plate.sides) ** 2
    force = (
        fields(Plate(plate.d, shear, shear, plate.sides), clamped)
        .pressure.shear_n_per_m[0]
        .reshape(2, 11, 21)
    )
    x, y = np.linspace(0, 1, 11) * plate.sides[0] / 2, np.linspace(-1, 1, 21) * plate.sides[1] / 2
    across = 2 * np.trapezoid(force[0, -1, 1:-1], y[1:-1])
    along = 2 * np.trapezoid(force[1, :-1, -1] - force[1, :-1, 0], x[:-1])
    assert -(across + along) == pytest.approx(1e3 * plate.sides[0] * plate.sides[1], rel=0.12)


@given(plates(), st.booleans(), st.floats(0.1, 10.0))
def test_a_frequency_falls_with_the_root_of_the_mass(plate: Plate, clamped: bool, times: float) -> None:
    given = [np.array([v]) for v in (plate.s_x, plate.s_y, *plate.sides)]
    one, other = (
        natural_frequency(plate.d[None], *given, np.array([clamped]), np.array([9.0 * by]))
        for by in (1.0, times)
    )
    assert other == pytest.approx(one / np.sqrt(times), rel=1e-9)


@given(plates(), st.floats(1.02, 2.0))
def test_stiffer_smaller_and_held_panels_are_faster(plate: Plate, times: float) -> None:
    def rate(clamped: bool = False, stiff: float = 1.0, large: float = 1.0) -> float:
        given = [plate.s_x * stiff, plate.s_y * stiff, *(side * large for side in plate.sides)]
        numbers = [np.array([value]) for value in given]
        return float(natural_frequency(plate.d[None] * stiff, *numbers, np.array([clamped]), np.ones(1))[0])

    assert rate(stiff=times) == pytest.approx(rate() * np.sqrt(times), rel=1e-9)
    assert rate(large=times) < rate() < rate(clamped=True)


def test_a_panel_that_carries_nothing_has_no_frequency() -> None:
    one = np.ones(2)
    d = np.stack([np.zeros((3, 3)), np.diag([9.0, 9.0, 3.0])])
    found = natural_frequency(d, one * 1e5, one * 1e5, one, one, one > 0, one)
    assert np.isnan(found).tolist() == [True, False]


def test_water_moves_with_a_panel_as_a_layer_of_it() -> None:
    """1 m by 1 m: 1025/(π √2) kg/m²."""
    assert added_water_mass(np.ones(1), np.ones(1)) == pytest.approx([1025 / (np.pi * np.sqrt(2))])
    assert added_water_mass(np.array([1e9]), np.array([0.5]), 1000.0) == pytest.approx([500 / np.pi])


@given(stacks(6), SIDES, st.booleans(), st.floats(1e2, 1e5))
def test_a_skin_that_stretches_deflects_less_and_ever_less_so(
    stack: Stack, sides: tuple[float, float], clamped: bool, pressure: float
) -> None:
    given = stack.laminate().a[None], *(np.array([side]) for side in sides), np.array([clamped])
    per_pressure = float(fields(panel_of(stack, sides), clamped, 1.0).response.deflection_m[0])
    shares = [
        float(membrane_deflection(np.array([per_pressure * q]), np.array([q]), *given)[0])
        / (per_pressure * q)
        for q in (1e-6 * pressure, pressure, 3 * pressure)
    ]
    assert 1 + 1e-9 >= shares[0] >= shares[1] - 1e-9 >= shares[2] - 2e-9
    assert shares[2] > 0


@given(stacks(5), st.tuples(st.floats(0.25, 1.2), st.floats(0.25, 1.2)), st.booleans())
def test_edges_held_in_their_plane_stiffen_unsymmetric_panels_alone(
    stack: Stack, sides: tuple[float, float], clamped: bool
) -> None:
    plate, laminate = panel_of(stack, sides), stack.laminate()
    one = plate.s_x, plate.s_y, *sides, clamped, 1e3
    free = fields(plate, clamped).response.deflection_m[0]
    held = held_deflection(laminate, *one)
    assert held <= free * 1.006
    flat = Stiffness(laminate.a, 0 * laminate.b, reduced_bending(laminate))
    assert held_deflection(flat, *one) == pytest.approx(free, rel=0.006)


def test_a_long_panel_is_looked_at_near_its_ends_and_in_the_middle() -> None:
    """Twenty times as long as wide: what is one width from an end is found there, the rest is the middle."""
    d = np.diag([500.0, 500.0, 175.0]) + np.array([[0, 150, 0], [150, 0, 0], [0, 0, 0]])
    plate = Plate(d, 1e6, 1e6, (10.0, 0.5))
    found = fields(plate, True)
    bent = found.pressure.curvature_per_m[0].reshape(3, 11, 21)
    middle = bent[1, 0, 10]
    assert bent[1, 1:9, 10] == pytest.approx(np.full(8, middle), rel=0.02)
    assert abs(bent[1, 10, 10]) < 1e-6 * middle
    patch = np.abs(found.patch.curvature_per_m[0, :, :231].reshape(3, 11, 21))
    assert patch[:, 4:].max() < 0.02 * np.abs(found.patch.curvature_per_m[0]).max()
    assert PANEL_PLACES.shape == (231, 2)
