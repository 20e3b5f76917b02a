"""How finely panels are solved: what asks for more functions, and that they are enough."""

import numpy as np
import pytest

from recipe_track.mechanics.field import Points
from recipe_track.mechanics.fineness import asks_for_more, field_kinds, kind_of, usual_kinds
from recipe_track.mechanics.panel import panel_fields
from recipe_track.mechanics.places import counted_places
from recipe_track.mechanics.plate import Looked, Plates, solve, solve_fields
from recipe_track.mechanics.ritz import Basis
from tests.reference.stacks import CARBON, GLASS, Stack

PLAIN = np.array([[400.0, 90.0, 0.0], [90.0, 300.0, 0.0], [0.0, 0.0, 120.0]])
ALONG = Stack("one direction of carbon at 30°", ((CARBON, 0.003, 30.0, 4.5e9),))
ACROSS = Stack("one direction of glass at 40°", ((GLASS, 0.003, 40.0, 3.5e9),))


def plates_of(d: np.ndarray, shear: float, sides: tuple[float, float], patch: float = np.nan) -> Plates:
    one = np.ones(len(d))
    return Plates(d, shear * one, shear * one, sides[0] * one, sides[1] * one, one, one, patch * one)


def coupled(share: float) -> np.ndarray:
    """PLAIN with a coupling of so much."""
    d = PLAIN.copy()
    d[0, 2] = d[2, 0] = np.sqrt(share * d[0, 0] * d[2, 2])
    return d


def test_fields_ask_for_more_the_more_bending_and_twist_are_coupled() -> None:
    d = np.stack([coupled(share) for share in (0.0, 0.09, 0.2, 0.4, 0.6)])
    plates, supported = plates_of(d, 1e6, (0.5, 0.5)), np.zeros(5, dtype=bool)
    usual, finer = (kinds(plates, supported, supported) for kinds in (usual_kinds, field_kinds))
    assert asks_for_more(d, supported, with_patch=False).tolist() == [False, False, True, True, True]
    assert asks_for_more(d, supported, with_patch=True).tolist() == [False, False, False, True, True]
    assert [kind_of(row).basis for row in finer[2:]] == [
        Basis(12, 12, False, True), Basis(16, 16, False, True), Basis(20, 20, False, True),
    ]  # fmt: skip
    assert (usual[:2] == finer[:2]).all()


def test_clamped_panels_ask_for_fewer() -> None:
    d = np.stack([coupled(share) for share in (0.2, 0.4, 0.6)])
    plates, clamped = plates_of(d, 1e6, (0.5, 0.5)), np.ones(3, dtype=bool)
    finer = field_kinds(plates, clamped, ~clamped)
    assert [kind_of(row).basis.count_x for row in finer] == [10, 14, 20]


@pytest.mark.parametrize("stack", [ALONG, ACROSS], ids=lambda stack: stack.name)
def test_a_foot_on_a_long_clamped_panel_is_as_close_as_on_any_other(stack: Stack) -> None:
    d, s_x, s_y = stack.stiffness()
    one, sides = np.ones(1), (0.4, 2.6)
    lengths = (sides[0] * one, sides[1] * one)
    found = panel_fields(d[None], s_x * one, s_y * one, *lengths, one > 0, one, one, 0.1 * one)
    plates = Plates(d[None], s_x * one, s_y * one, *lengths, one, one, 0.1 * one)
    fine = solve(plates, Basis(14, 50, True, full=True), with_patch=True)
    assert found.response.patch_deflection_m == pytest.approx(fine.patch_deflection_m, rel=0.005)


def test_beside_corners_fields_are_nearer_to_the_limit_than_the_usual_functions_are() -> None:
    d, s_x, s_y = ACROSS.stiffness()
    one, clamped = np.ones(1), np.array([False])
    given = d[None], s_x * one, s_y * one, 0.5 * one, 0.5 * one
    found = panel_fields(*given, clamped, one, np.nan * one, one).pressure.curvature_per_m
    plates = Plates(*given, one, np.nan * one, one)
    looked = Looked(Points(np.linspace(0, 1, 11)[None], np.linspace(-1, 1, 21)[None]))
    usual, fine = (
        solve_fields(plates, Basis(count, count, False, full), False, looked)[1]
        for count, full in ((8, False), (26, True))
    )
    assert usual is not None
    assert fine is not None
    kept = counted_places(d[None], clamped)[0]
    near, far = (
        np.abs(field - fine.curvature_per_m)[0][:, kept].max() for field in (found, usual.curvature_per_m)
    )
    assert near < 0.4 * far
