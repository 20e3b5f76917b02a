"""Plates: tables of deflections and moments, and laminated plates that shear (checks A4)."""

from collections.abc import Mapping
from functools import cache, partial
from typing import Any

import numpy as np

from recipe_track.mechanics.laminate import stiffness
from recipe_track.mechanics.panel import PanelResponse, panel_response
from recipe_track.mechanics.patch import plate_waves, wave_numbers
from recipe_track.mechanics.plate import Plates, Solution, solve
from recipe_track.mechanics.ply import reduced_stiffness, rotated_stiffness
from recipe_track.mechanics.ritz import Basis
from tests.reference.case import Case, Values, checks, compared

CHECKS = checks("plates")
NU = 0.3
THIN = 2e-4
"""Thickness over span of the plates that stand for thin-plate theory: shear adds some 1e-7."""
SIDE = 2e-3
"""Side over span of the square that stands for a point load."""
PANEL = "panels are to within 0.5 % of the converged solution"
MOMENT = "mid-edge moments with the usual number of functions, to within 1.5 %"


def thin_plates(ratio: Values) -> tuple[Values, Values]:
    """D* of unit bending stiffness and shear stiffness of thin isotropic plates of span 1."""
    d = np.array([[1, NU, 0], [NU, 1, 0], [0, 0, (1 - NU) / 2]])
    shear = 5 / 6 * 12 * (1 - NU**2) / (2 * (1 + NU)) / THIN**2
    return np.broadcast_to(d, (len(ratio), 3, 3)).copy(), np.full(len(ratio), shear)


@cache
def panels(id: str, clamped: bool) -> PanelResponse:
    """The plates of a check as panels: short side along y, unit pressure and unit force."""
    ratio = np.array(ratios(CHECKS[id]["input"]))
    d, s = thin_plates(ratio)
    one = np.ones(len(ratio))
    return panel_response(d, s, s, ratio, one, np.full(len(ratio), clamped), one, one, SIDE * one)


@cache
def fine(id: str, clamped: bool) -> Solution:
    """The same with more functions than panels take."""
    ratio = np.array(ratios(CHECKS[id]["input"]))
    d, s = thin_plates(ratio)
    one = np.ones(len(ratio))
    return solve(
        Plates(d, s, s, ratio, one, one, one, SIDE * one), Basis(24, 20, clamped, full=True), with_patch=True
    )


def ratios(given: Mapping[str, Any]) -> list[float]:
    found: list[float] = next(
        given[key] for key in ("b_over_a", "long_over_short", "l_over_b") if key in given
    )
    return found


def moment(found: PanelResponse | Solution, place: int, axis: int) -> Values:
    """Bending moment along an axis of the unit plates. place: 0 centre, 2 short edge, 4 long edge."""
    d = np.array([[1, NU, 0], [NU, 1, 0], [0, 0, (1 - NU) / 2]])
    return (found.curvature_per_m[:, place] @ d)[:, axis]


def cases() -> list[Case]:
    return supported() + clamped() + roark() + point_loads() + scantling() + cross_ply()


def both(
    check: Mapping[str, Any],
    quantity: str,
    id: str,
    edges: bool,
    take: Any,
    remark: str = PANEL,
    loose: float = 0.005,
) -> list[Case]:
    """A quantity of the panels, and of the finer plates at the check's own tolerance."""
    found = compared(check, quantity, lambda: take(panels(id, edges)), tolerance=loose, remark=remark)
    finer = compared(check, quantity, lambda: take(fine(id, edges)))
    return [case for case in found if case.basis == "own"] + finer


def supported() -> list[Case]:
    check = CHECKS["A4.01"]
    found = both(check, "alpha", "A4.01", False, lambda plate: plate.deflection_m)
    found += both(check, "beta_short_span", "A4.01", False, lambda plate: moment(plate, 0, 1))
    return found + both(check, "beta_long_span", "A4.01", False, lambda plate: moment(plate, 0, 0))


def clamped() -> list[Case]:
    check = CHECKS["A4.02"]
    found = both(check, "alpha", "A4.02", True, lambda plate: plate.deflection_m)
    found += both(check, "beta_centre_short_span", "A4.02", True, lambda plate: moment(plate, 0, 1))
    for quantity, place, axis in (("beta_edge_mid_long_side", 4, 1), ("beta_edge_mid_short_side", 2, 0)):
        found += both(check, quantity, "A4.02", True, partial(moment, place=place, axis=axis), MOMENT, 0.015)
    return found


def roark() -> list[Case]:
    check = CHECKS["A4.03"]
    scale = 12 * (1 - NU**2)
    found = both(check, "alpha_R", "A4.03", False, lambda plate: scale * plate.deflection_m)
    return found + both(check, "beta_R", "A4.03", False, lambda plate: 6 * moment(plate, 0, 1))


def point_loads() -> list[Case]:
    scale = 12 * (1 - NU**2)
    found = both(CHECKS["A4.04"], "alpha_R", "A4.04", False, lambda plate: scale * plate.patch_deflection_m)
    return found + both(CHECKS["A4.05"], "alpha_P", "A4.05", True, lambda plate: plate.patch_deflection_m)


def scantling() -> list[Case]:
    """Panel coefficients of a scantling standard: clamped edge moment and deflection."""
    check = CHECKS["A4.06"]
    k2, k3 = lambda plate: -6 * moment(plate, 4, 1), lambda plate: 12 * (1 - NU**2) * plate.deflection_m
    found: list[Case] = []
    for name, own, take, loose in (
        ("k2", "k2_as_6_times_edge_moment", k2, 0.015),
        ("k3", "k3_as_10p92_alpha", k3, 0.005),
    ):
        remark = MOMENT if name == "k2" else PANEL
        found += [
            case
            for case in compared(
                check,
                name,
                lambda take=take: take(panels("A4.06", True)),
                own=own,
                tolerance=loose,
                remark=remark,
            )
            if case.basis == "own"
        ]
        found += compared(check, name, lambda take=take: take(fine("A4.06", True)), own=own)
    return found


def laminate_plate(side_over_height: float) -> Plates:
    """The [0/90/0] plate of A4.08 with E2 = 1, thickness 1, side a and unit pressure."""
    given = CHECKS["A4.08"]["input"]
    q = reduced_stiffness(
        *(np.asarray(given[key]) for key in ("E1_over_E2",)),
        np.asarray(1.0),
        np.asarray(given["G12_over_E2"]),
        np.asarray(given["nu12"]),
    )
    angles = np.radians(given["layup"])
    d = stiffness(rotated_stiffness(np.broadcast_to(q, (3, 3, 3)), angles), np.full(3, 1 / 3)).d
    shear = np.array([given["G13_over_E2"], given["G23_over_E2"]])
    x, y = (given["K"] * np.where(np.cos(angles) > 0.5, *pair).mean() for pair in (shear, shear[::-1]))
    side = np.array([side_over_height])
    one = np.ones(1)
    return Plates(d[None], x * one, y * one, side, side, one, np.full(1, np.nan), one)


def under_uniform(side_over_height: float) -> float:
    plate = laminate_plate(side_over_height)
    found = solve(plate, Basis(20, 20, False, full=True), with_patch=False)
    return float(100 * found.deflection_m[0] / side_over_height**4)


def under_sine(side_over_height: float) -> float:
    """One half sine wave each way is the wave of number 1 of a periodic plate of twice the side."""
    plate = laminate_plate(side_over_height)
    along_x, along_y = wave_numbers()
    force = np.ones((1, len(along_x), len(along_y)))
    waves = plate_waves(plate.d_star, plate.s_x, plate.s_y, 2 * plate.length_x_m, 2 * plate.length_y_m, force)
    middle = waves.w.shape[2] // 2
    return float(100 * waves.w[0, 1, middle + 1] / side_over_height**4)


def cross_ply() -> list[Case]:
    check = CHECKS["A4.08"]
    found: list[Case] = []
    for name, side in (("a_over_h_4", 4.0), ("a_over_h_10", 10.0), ("a_over_h_100", 100.0), ("thin", 1e4)):
        found += compared(check, f"sinusoidal_{name}", partial(under_sine, side))
        if side > 4:
            found += compared(check, f"uniform_{name}", partial(under_uniform, side))
    return found
