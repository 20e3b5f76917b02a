"""Laws of shear across the thickness."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.mechanics.shear import peak_shear_flow, transverse_shear_stiffness
from tests.laws.mechanics_strategies import Stack, stacks


@given(stacks())
def test_no_stack_is_stiffer_in_shear_than_its_plies_side_by_side(stack: Stack) -> None:
    """The flow has the unit force as its sum, so that Schwarz's inequality bounds its energy from below."""
    for axis in (0, 1):
        assert 0 < stack.shear_stiffness(axis) <= (stack.shear * stack.thickness).sum() * (1 + 1e-12)


@given(stacks(), st.floats(1e8, 1e10))
def test_one_material_gives_five_sixths(stack: Stack, shear: float) -> None:
    same = np.ones(len(stack.thickness))
    found = transverse_shear_stiffness(9e9 * same, shear * same, stack.thickness)
    assert found == pytest.approx(5 / 6 * shear * stack.height, rel=1e-9)


@given(stacks())
def test_turning_the_stack_over_changes_nothing(stack: Stack) -> None:
    for axis in (0, 1):
        assert stack.reversed().shear_stiffness(axis) == pytest.approx(stack.shear_stiffness(axis), rel=1e-9)
    flow = peak_shear_flow(stack.q_bar[:, 0, 0], stack.thickness)
    turned = peak_shear_flow(stack.reversed().q_bar[:, 0, 0], stack.thickness[::-1])
    assert turned[::-1] == pytest.approx(flow, rel=1e-9)


@given(stacks(), st.integers(0, 7))
def test_a_stiffer_ply_in_shear_never_makes_the_stack_softer(stack: Stack, ply: int) -> None:
    stiffer = stack.shear.copy()
    stiffer[ply % len(stiffer)] *= 2
    changed = Stack(stack.q, stack.angle_deg, stack.thickness, stiffer)
    assert changed.shear_stiffness(0) >= stack.shear_stiffness(0) * (1 - 1e-12)


@given(stacks())
def test_the_flow_peaks_between_the_mean_and_what_neighbours_share(stack: Stack) -> None:
    """Its mean over the height is 1/h, so that its peak is no less; it runs on from ply to ply."""
    peak = peak_shear_flow(stack.q_bar[:, 0, 0], stack.thickness)
    assert peak.max() >= (1 - 1e-12) / stack.height
