"""Panels against a finite-element plate of the same theory, written and solved independently."""

import numpy as np
import pytest

from recipe_track.mechanics.panel import PanelResponse, panel_fields, panel_response
from recipe_track.mechanics.places import PATCH_PLACES
from tests.reference.elements import element_fields, element_plate
from tests.reference.stacks import CARBON, FOAM, GLASS, Stack


def off_axis_sandwich(core_m: float, core_shear: float) -> Stack:
    skins = [(GLASS, 0.0008, angle, 3.5e9) for angle in (20.0, 65.0, 20.0)]
    inner = [(CARBON, 0.0004, angle, 4.5e9) for angle in (40.0, -10.0)]
    return Stack(f"sandwich {core_shear / 1e6:.0f} MPa", (*skins, (FOAM, core_m, 0.0, core_shear), *inner))


SANDWICH = off_axis_sandwich(0.020, 30e6)
SOFT = off_axis_sandwich(0.035, 6e6)
SKIN = Stack("one direction at 40°", ((GLASS, 0.003, 40.0, 3.5e9),))
SHARP = Stack("one direction of carbon at 45°", ((CARBON, 0.003, 45.0, 4.5e9),))


def response(stack: Stack, sides: tuple[float, float], clamped: bool, patch: float) -> PanelResponse:
    d, s_x, s_y = stack.stiffness()
    values = (np.array([value]) for value in (s_x, s_y, *sides))
    one = np.ones(1)
    return panel_response(d[None], *values, np.array([clamped]), one, one, np.array([patch]))


@pytest.mark.parametrize(
    ("stack", "sides", "clamped", "patch"),
    [
        (SANDWICH, (0.9, 0.5), True, 0.10),
        (SANDWICH, (0.9, 0.5), False, 0.10),
        (SOFT, (0.6, 0.6), True, 0.03),
        (SOFT, (0.45, 1.2), False, 0.08),
        (SKIN, (0.4, 0.5), True, 0.05),
        (SKIN, (1.1, 0.4), False, 0.05),
        (SHARP, (0.5, 0.5), False, 0.10),
    ],
    ids=lambda value: value.name if isinstance(value, Stack) else str(value),
)
def test_a_panel_deflects_as_the_element_plate(
    stack: Stack, sides: tuple[float, float], clamped: bool, patch: float
) -> None:
    d, s_x, s_y = stack.stiffness()
    elements = element_plate(d, (s_x, s_y), sides, clamped, patch)
    panel = response(stack, sides, clamped, patch)
    assert panel.deflection_m == pytest.approx([elements.deflection], rel=0.005)
    assert panel.patch_deflection_m == pytest.approx([elements.patch_deflection], rel=0.005)
    curvature, largest = panel.curvature_per_m[0], np.abs(elements.curvature).max()
    near, edge = (0.05, 0.10) if stack is SHARP else (0.01, 0.05)
    assert curvature[0] == pytest.approx(elements.curvature[0], rel=near, abs=0.005 * largest)
    assert curvature[[1, 3]] == pytest.approx(elements.curvature[1:], abs=edge * largest)
    if len(stack.plies) > 1:
        assert panel.edge_shear_n_per_m[0] == pytest.approx(elements.edge_shear, rel=0.02)


@pytest.mark.parametrize(
    ("stack", "sides", "clamped", "patch"),
    [(SANDWICH, (0.9, 0.5), False, 0.10), (SANDWICH, (1.2, 0.7), True, 0.03), (SKIN, (0.5, 0.6), True, 0.20)],
    ids=lambda value: value.name if isinstance(value, Stack) else str(value),
)
def test_fields_under_a_foot_are_those_of_the_element_plate_place_by_place(
    stack: Stack, sides: tuple[float, float], clamped: bool, patch: float
) -> None:
    """Over the patch itself, where every place has its own sign of the twist; a small patch, too.

    But for forces at the corners of the patch, where their slope is without bound and elements blur it.
    """
    d, s_x, s_y = stack.stiffness()
    _, elements = element_fields(d, (s_x, s_y), sides, clamped, patch, PATCH_PLACES * patch / 2)
    one = np.ones(1)
    lengths = (sides[0] * one, sides[1] * one)
    edges = np.array([clamped])
    found = panel_fields(d[None], s_x * one, s_y * one, *lengths, edges, one, one, patch * one).patch
    assert found is not None
    bent, force = found.curvature_per_m[0, :, -66:].T, found.shear_n_per_m[0, :, -66:].T
    assert bent == pytest.approx(elements.curvature, abs=0.03 * np.abs(elements.curvature).max())
    if len(stack.plies) > 1:
        inner = (np.abs(PATCH_PLACES) < 1).any(axis=1)
        assert force[inner] == pytest.approx(elements.shear[inner], abs=0.03 * np.abs(elements.shear).max())
