"""Sandwich beams and panels: stiffness, stresses, wrinkling, panels that shear (checks A5)."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import numpy as np

from recipe_track.mechanics.laminate import Stiffness, stiffness, strip_stiffness
from recipe_track.mechanics.margins import wrinkling_stress
from recipe_track.mechanics.panel import panel_response
from recipe_track.mechanics.plate import Plates, solve
from recipe_track.mechanics.ply import reduced_stiffness
from recipe_track.mechanics.ritz import Basis
from recipe_track.mechanics.shear import peak_shear_flow, transverse_shear_stiffness
from tests.reference.case import Case, Values, checks, compared

CHECKS = checks("sandwiches")
PANEL = "panels are to within 0.5 % of the converged solution"
OWN_BENDING = "the thin-face formula leaves out the faces' own bending, (tf/d)²/3"


def beam(given: Mapping[str, Any]) -> tuple[Values, Values, Stiffness]:
    """Moduli, thickness and stiffness of a beam without Poisson's effect: face, core, face."""
    young = np.array([given["Ef"], given.get("Ec", 0.0), given["Ef"]])
    thickness = np.array([given["tf"], given["tc"], given["tf"]])
    q = reduced_stiffness(young, young, young / 2, np.zeros(3))
    return young, thickness, stiffness(q, thickness)


def cases() -> list[Case]:
    return honeycomb() + foam() + standard_stresses() + wrinkling() + panels()


def honeycomb() -> list[Case]:
    check = CHECKS["A5.01"]
    given = check["input"]
    young, thickness, laminate = beam(given)
    ei = float(strip_stiffness(laminate)[2])
    facing = given["P"] * given["L"] / 4 / given["width"] * given["Ef"] * (given["tf"] + given["tc"]) / 2 / ei
    core = given["P"] / 2 / given["width"] * peak_shear_flow(young, thickness)[1]
    bent = given["P"] * given["L"] ** 3 / (48 * ei * given["width"])
    found: list[Case] = []
    for key, value in (
        ("D_Nm2", ei * given["width"]),
        ("bending_mm", bent * 1e3),
        ("facing_stress_MPa", facing / 1e6),
        ("core_shear_MPa", core / 1e6),
    ):
        tight = compared(check, key, partial(float, value), tolerance=2e-4, remark=OWN_BENDING)
        found += [case for case in tight if case.basis == "own"]
        found += [case for case in compared(check, key, partial(float, value)) if case.basis == "published"]
    return found


def foam() -> list[Case]:
    check = CHECKS["A5.02"]
    given = check["input"]
    _, _, laminate = beam(given)
    ei = float(strip_stiffness(laminate)[2])
    bent = given["P"] * given["L"] ** 3 / (48 * ei * given["width"])
    thin = np.array([given["Ef"] * 1e3, 0.0, given["Ef"] * 1e3])
    spread = np.array([given["tf"] / 1e3, given["tc"] + given["tf"], given["tf"] / 1e3])
    soft = given["Gc"] * spread[1] / given["tc"]
    s = transverse_shear_stiffness(thin, np.array([1e12, soft, 1e12]), spread)
    found = compared(check, "D_per_width", partial(float, ei))
    found += compared(check, "D11_from_CLT_nu0", partial(float, laminate.d[0, 0]))
    found += compared(check, "bending_mm", partial(float, bent * 1e3))
    remark = "thin-face theory as a limit: faces a thousandth as thick and a thousand times as stiff, d apart"
    return found + compared(check, "S_per_width", partial(float, s), tolerance=1e-3, remark=remark)


def standard_stresses() -> list[Case]:
    """Test-standard formulas for thin faces, against the exact flow and bending of the same stack."""
    check = CHECKS["A5.03"]
    given = check["input"]
    young, thickness, laminate = beam({"Ef": 20e9, "tf": given["t_mm"] / 1e3, "tc": given["c_mm"] / 1e3})
    ei, width = float(strip_stiffness(laminate)[2]), given["b_mm"] / 1e3
    core = given["P_N"] / 2 / width * peak_shear_flow(young, thickness)[1]
    middle = (given["c_mm"] + given["t_mm"]) / 2e3
    facing = given["P_N"] * given["S_mm"] / 1e3 / 4 / width * 20e9 * middle / ei
    found = compared(check, "core_shear_MPa", partial(float, core / 1e6), tolerance=0.003, remark=OWN_BENDING)
    return found + compared(
        check, "facing_stress_MPa", partial(float, facing / 1e6), tolerance=0.003, remark=OWN_BENDING
    )


def wrinkling() -> list[Case]:
    check = CHECKS["A5.05"]
    face, core, shear = (
        np.array([case[key] for case in check["input"]["cases"]]) for key in ("Ef", "Ec", "Gc")
    )
    return compared(check, "sigma_wrinkling_MPa", partial(wrinkling_stress, face, core, shear))


def sandwich_plates(ratio: Values, bending: float, shear: float, pressure: float, span: float) -> Plates:
    d = bending * np.array([[1, 0.3, 0], [0.3, 1, 0], [0, 0, 0.35]])
    one = np.ones(len(ratio))
    sides = (ratio * span, span * one)
    return Plates(
        np.broadcast_to(d, (len(ratio), 3, 3)).copy(),
        shear * one,
        shear * one,
        *sides,
        pressure * one,
        np.nan * one,
        one,
    )


def as_panels(plates: Plates) -> Values:
    arguments = (plates.d_star, plates.s_x, plates.s_y, plates.length_x_m, plates.length_y_m)
    free = np.zeros(len(plates.s_x), dtype=bool)
    return panel_response(*arguments, free, plates.pressure_pa, plates.force_n, plates.side_m).deflection_m


def finely(plates: Plates) -> Values:
    return solve(plates, Basis(24, 20, False, full=True), with_patch=False).deflection_m


def panels() -> list[Case]:
    """Coefficients from a plate that hardly shears and one that does little else, and the example."""
    check = CHECKS["A5.06"]
    ratio = np.array(check["input"]["b_over_a"])
    given = check["input"]["example"]
    stiff, soft = sandwich_plates(ratio, 1.0, 1e8, 1.0, 1.0), sandwich_plates(ratio, 1e6, 1.0, 1.0, 1.0)
    bending = given["Ef"] * given["tf"] * (given["tc"] + given["tf"]) ** 2 / (2 * (1 - given["nuf"] ** 2))
    shear = given["Gc"] * (given["tc"] + given["tf"]) ** 2 / given["tc"]
    example = sandwich_plates(np.ones(1), bending, shear, given["q"], given["a"])
    found: list[Case] = []
    for key, plates in (("alpha", stiff), ("alpha_s", soft)):
        remark = "the other kind of deflection adds a few millionths; " + PANEL
        found += compared(check, key, partial(as_panels, plates), tolerance=0.005, remark=remark)
        found += compared(check, key, partial(finely, plates))
    found += compared(
        check, "example_total_mm", lambda: 1e3 * as_panels(example)[0], tolerance=0.005, remark=PANEL
    )
    return found + compared(check, "example_total_mm", lambda: 1e3 * finely(example)[0])
