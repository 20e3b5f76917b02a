"""Laws of laminates: what order, turning, splitting and scaling do and do not change."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.mechanics.laminate import Stiffness, reduced_bending, strip_stiffness
from tests.laws.mechanics_strategies import Stack, Values, stacks

FAMILY = np.array([[1, 1, 0], [1, 1, 0], [0, 0, 1]], dtype=bool)


def close(value: Values, expected: Values, scale: float, rel: float = 1e-11) -> bool:
    return bool(np.abs(value - expected).max() <= rel * scale)


def alike(one: Stiffness, other: Stiffness, height: float, rel: float = 1e-11) -> bool:
    size = float(np.abs(one.a).max())
    pairs = ((one.a, other.a, size), (one.b, other.b, size * height), (one.d, other.d, size * height**2))
    return all(close(a, b, scale, rel) for a, b, scale in pairs)


@given(stacks(), st.data())
def test_order_leaves_the_stiffness_in_the_plane(stack: Stack, data: st.DataObject) -> None:
    order = np.array(data.draw(st.permutations(range(len(stack.thickness)))))
    assert close(stack.ordered(order).laminate().a, stack.laminate().a, np.abs(stack.laminate().a).max())


@given(stacks())
def test_reversing_keeps_a_and_d_and_turns_b(stack: Stack) -> None:
    one, other = stack.laminate(), stack.reversed().laminate()
    assert alike(one, Stiffness(other.a, -other.b, other.d), stack.height)


@given(stacks())
def test_a_symmetric_stack_has_no_coupling(stack: Stack) -> None:
    whole = stack.joined(stack.reversed())
    laminate = whole.laminate()
    assert np.abs(laminate.b).max() < 1e-9 * np.abs(laminate.a).max() * whole.height


@given(stacks())
def test_a_balanced_stack_does_not_shear_when_pulled(stack: Stack) -> None:
    a = stack.joined(stack.mirrored()).laminate().a
    assert np.abs(a[[0, 1], 2]).max() < 1e-10 * np.abs(a).max()


@given(stacks(), st.lists(st.booleans(), min_size=8, max_size=8))
def test_a_cross_ply_stack_has_no_16_and_26_terms_at_all(stack: Stack, turned: list[bool]) -> None:
    angles = np.where(turned[: len(stack.thickness)], 90.0, 0.0)
    laminate = Stack(stack.q, angles, stack.thickness, stack.shear).laminate()
    for matrix in (laminate.a, laminate.b, laminate.d):
        assert np.abs(matrix[[0, 1], 2]).max() <= 1e-10 * np.abs(laminate.a).max() * max(1.0, stack.height)


@given(stacks())
def test_half_a_turn_changes_nothing(stack: Stack) -> None:
    assert alike(stack.turned(180).laminate(), stack.laminate(), stack.height)


@given(stacks())
def test_a_quarter_turn_exchanges_the_axes(stack: Stack) -> None:
    one, other = stack.laminate(), stack.turned(90).laminate()
    sign = np.where(FAMILY, 1.0, -1.0)
    turned = Stiffness(*(matrix[[1, 0, 2]][:, [1, 0, 2]] * sign for matrix in (one.a, one.b, one.d)))
    assert alike(other, turned, stack.height)


@given(stacks())
def test_negative_angles_turn_the_sign_of_16_and_26_alone(stack: Stack) -> None:
    one, other = stack.laminate(), stack.mirrored().laminate()
    sign = np.where(FAMILY, 1.0, -1.0)
    assert alike(other, Stiffness(one.a * sign, one.b * sign, one.d * sign), stack.height)


@given(stacks(), st.floats(0.2, 5.0))
def test_thickness_enters_to_the_first_second_and_third_power(stack: Stack, times: float) -> None:
    one, other = stack.laminate(), stack.thicker(times).laminate()
    assert alike(other, Stiffness(one.a * times, one.b * times**2, one.d * times**3), stack.height * times)


@given(stacks(), st.data())
def test_splitting_a_ply_changes_nothing(stack: Stack, data: st.DataObject) -> None:
    split = stack.split(data.draw(st.integers(0, len(stack.thickness) - 1)), data.draw(st.integers(2, 4)))
    assert alike(split.laminate(), stack.laminate(), stack.height, 1e-12)
    for axis in (0, 1):
        assert split.shear_stiffness(axis) == pytest.approx(stack.shear_stiffness(axis), rel=1e-10)


@given(stacks())
def test_flipping_every_fabric_and_reversing_the_stack_mirrors_it(stack: Stack) -> None:
    """Seen from the other side: B turns its sign, and 16 and 26 theirs."""
    one, other = stack.laminate(), stack.mirrored().reversed().laminate()
    sign = np.where(FAMILY, 1.0, -1.0)
    assert alike(other, Stiffness(one.a * sign, -one.b * sign, one.d * sign), stack.height)


@given(stacks())
def test_the_whole_is_positive_definite(stack: Stack) -> None:
    laminate = stack.laminate()
    size = np.diag([1.0] * 3 + [1 / stack.height] * 3)
    whole = size @ np.block([[laminate.a, laminate.b], [laminate.b, laminate.d]]) @ size
    assert np.abs(whole - whole.T).max() <= 1e-12 * np.abs(whole).max()
    assert np.linalg.eigvalsh(whole).min() > 0


@given(stacks(), st.floats(-1.0, 1.0))
def test_bent_strips_and_panels_do_not_know_the_reference_plane(stack: Stack, heights: float) -> None:
    one, shift = stack.laminate(), heights * stack.height
    moved = Stiffness(one.a, one.b + shift * one.a, one.d + 2 * shift * one.b + shift**2 * one.a)
    bent, expected = (np.array(strip_stiffness(laminate))[2:] for laminate in (moved, one))
    assert bent == pytest.approx(expected, rel=1e-8)
    assert close(reduced_bending(moved), reduced_bending(one), np.abs(reduced_bending(one)).max(), 1e-8)


@given(stacks())
def test_a_strip_is_never_stiffer_than_its_parts_held_in_shape(stack: Stack) -> None:
    laminate = stack.laminate()
    ea_x, ea_y, ei_x, ei_y = strip_stiffness(laminate)
    d = reduced_bending(laminate)
    assert 0 < ea_x <= laminate.a[0, 0] * (1 + 1e-12)
    assert 0 < ea_y <= laminate.a[1, 1] * (1 + 1e-12)
    assert 0 < ei_x <= d[0, 0] * (1 + 1e-12)
    assert 0 < ei_y <= d[1, 1] * (1 + 1e-12)


@given(st.lists(stacks(), min_size=2, max_size=4))
def test_many_stacks_at_once_are_as_many_alone(several: list[Stack]) -> None:
    from recipe_track.mechanics.laminate import stiffness

    longest = max(len(stack.thickness) for stack in several)
    q_bar, thickness = np.zeros((len(several), longest, 3, 3)), np.zeros((len(several), longest))
    for row, stack in enumerate(several):
        q_bar[row, : len(stack.thickness)], thickness[row, : len(stack.thickness)] = (
            stack.q_bar,
            stack.thickness,
        )
    together = stiffness(q_bar, thickness)
    for row, stack in enumerate(several):
        assert alike(
            Stiffness(together.a[row], together.b[row], together.d[row]), stack.laminate(), stack.height
        )
