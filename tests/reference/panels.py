"""Panels: natural frequencies, transverse forces, large deflections (checks A8 and A9)."""

from functools import partial

import numpy as np

from recipe_track.mechanics.frequency import natural_frequency
from recipe_track.mechanics.membrane import membrane_coefficient, membrane_deflection
from recipe_track.mechanics.panel import panel_fields
from tests.reference.case import Case, Values, checks, compared
from tests.reference.plates import thin_plates

CHECKS = checks("panels")
EDGES = ("supported", "clamped")


def cases() -> list[Case]:
    return thin() + orthotropic() + transverse_force() + one_term() + large_deflections()


def circular(ratio: Values, clamped: bool) -> Values:
    """λ = ω a² √(m/D), a the longer side; the plates have b = D = m = 1."""
    d, s = thin_plates(ratio)
    one = np.ones(len(ratio))
    return 2 * np.pi * ratio**2 * natural_frequency(d, s, s, ratio, one, np.full(len(ratio), clamped), one)


def thin() -> list[Case]:
    check = CHECKS["A8.01"]
    ratio, some = (np.array(check["input"][key]) for key in ("a_over_b", "a_over_b_published_clamped"))
    found = compared(check, "supported_square", lambda: circular(ratio[:1], False)[0])
    found += compared(check, "clamped_some", partial(circular, some, True))
    for edges in EDGES:
        found += compared(check, edges, partial(circular, ratio, edges == "clamped"))
    return found


def orthotropic_hz(clamped: bool, shear: float) -> float:
    given = CHECKS["A8.02"]["input"]
    d11, d12, d22, d66 = (given["d_n_m"][key] for key in ("d11", "d12", "d22", "d66"))
    one = np.ones(1)
    d = np.array([[[d11, d12, 0], [d12, d22, 0], [0, 0, d66]]])
    sides = given["a_m"] * one, given["b_m"] * one
    found = natural_frequency(
        d, shear * one, shear * one, *sides, np.array([clamped]), given["mass_kg_m2"] * one
    )
    return float(found[0])


def orthotropic() -> list[Case]:
    check = CHECKS["A8.02"]
    found: list[Case] = []
    for edges in EDGES:
        clamped = edges == "clamped"
        found += compared(check, f"{edges}_thin", partial(orthotropic_hz, clamped, 1e11))
        sheared = partial(orthotropic_hz, clamped, check["input"]["s_n_per_m"])
        found += compared(check, f"{edges}_shear", sheared)
    return found


def greatest_force(ratio: Values) -> Values:
    d, _ = thin_plates(ratio)
    one = np.ones(len(ratio))
    found = panel_fields(d, 100 * one, 100 * one, ratio, one, one < 0, one, np.nan * one, one)
    return np.abs(found.pressure.shear_n_per_m).max(axis=(1, 2))


def transverse_force() -> list[Case]:
    check = CHECKS["A8.03"]
    return compared(check, "q_max", partial(greatest_force, np.array(check["input"]["b_over_a"])))


def plane_stiffness(nu: float, count: int) -> Values:
    """A of a skin of E = h = 1."""
    a = np.array([[1, nu, 0], [nu, 1, 0], [0, 0, (1 - nu) / 2]]) / (1 - nu**2)
    return np.broadcast_to(a, (count, 3, 3)).copy()


def linear(pressure: Values, nu: float, clamped: Values) -> Values:
    """α q a⁴/D of squares of E = h = a = 1."""
    alpha = CHECKS["A9.01"]["input"]["alpha"]
    return np.where(clamped, alpha["clamped"], alpha["supported"]) * pressure * 12 * (1 - nu**2)


def beta() -> Values:
    given = CHECKS["A9.01"]["input"]
    clamped, one = np.array([False, True]), np.ones(2)
    per_pressure = linear(one, given["nu"], clamped)
    k4 = membrane_coefficient(plane_stiffness(given["nu"], 2), one, one, clamped)
    return 4 * k4 * per_pressure / np.where(clamped, 0.25, 4 / np.pi**2)


def deflection(pressure: Values, nu: float, clamped: Values) -> Values:
    one = np.ones(len(pressure))
    w = linear(pressure, nu, clamped)
    return membrane_deflection(w, pressure, plane_stiffness(nu, len(pressure)), one, one, clamped)


def one_term() -> list[Case]:
    check = CHECKS["A9.01"]
    pressure, nu = np.full(2, check["input"]["q"]), check["input"]["nu"]
    found = compared(check, "beta", beta)
    return found + compared(check, "deflection", lambda: deflection(pressure, nu, np.array([False, True])))


def large_deflections() -> list[Case]:
    check = CHECKS["A9.02"]
    pressure = np.array(check["input"]["q"])
    held = np.ones(len(pressure), dtype=bool)
    return compared(check, "deflection", lambda: deflection(pressure, check["input"]["nu"], held))
