"""Elastic constants of plies from fibre and resin (checks A2)."""

from functools import partial

import numpy as np

from recipe_track.mechanics.ply import cured_ply, random_mat_constants, unidirectional_constants
from tests.reference.case import Case, Values, checks, compared

CHECKS = checks("micromechanics")


def constants(*values: float) -> list[float]:
    """E1, E2, G12, ν12 from fraction, fibre (axial, transverse, shear, ν) and resin (E, ν)."""
    return [float(value) for value in unidirectional_constants(*(np.asarray(value) for value in values))]


def cases() -> list[Case]:
    return rule_of_mixtures() + glass_epoxy() + puck() + mat()


def rule_of_mixtures() -> list[Case]:
    """Along the fibre only: across it another formula is used here than in these checks."""
    found: list[Case] = []
    for id in ("A2.01", "A2.02"):
        check = CHECKS[id]
        given = check["input"]
        e1, *_ = constants(given["Vf"], given["Ef_GPa"], given["Ef_GPa"], 30.0, 0.2, given["Em_GPa"], 0.35)
        found += compared(check, "E1_GPa", partial(float, e1))
        if id == "A2.01":
            found += compared(check, "strain", partial(float, given["stress_MPa"] / (e1 * 1000)))
    return found


def glass_epoxy() -> list[Case]:
    """E1, ν12 and the fibre fraction by volume that belongs to the fraction by mass."""
    check = CHECKS["A2.03"]
    given = check["input"]
    e1, _, _, nu12 = constants(
        given["Vf"], given["Ef_GPa"], given["Ef_GPa"], 35.0, given["nuf"], given["Em_GPa"], given["num"]
    )

    def density(by_mass: float) -> Values:
        inputs = (1.0, by_mass, given["rho_f"], given["rho_m"])
        thickness, _ = cured_ply(*(np.asarray(value) for value in inputs))
        return np.asarray(1 / by_mass / thickness)

    found = compared(check, "E1_GPa", partial(float, e1)) + compared(check, "nu12", partial(float, nu12))
    return found + compared(check, "rho_c", partial(density, check["own"]["Wf"]))


def puck() -> list[Case]:
    check = CHECKS["A2.04"]
    given = check["input"]
    resin_nu = given["Em_GPa"] / (2 * given["Gm_GPa"]) - 1
    values = constants(
        given["Vf"],
        given["Ef_GPa"],
        given["Ef_GPa"],
        given["Gf_GPa"],
        given["nuf"],
        given["Em_GPa"],
        given["num"],
    )
    shear = constants(
        given["Vf"],
        given["Ef_GPa"],
        given["Ef_GPa"],
        given["Gf_GPa"],
        given["nuf"],
        given["Em_GPa"],
        resin_nu,
    )[2]
    found: list[Case] = []
    for key, value in (("E1_GPa", values[0]), ("E2_GPa", values[1]), ("G12_GPa", shear), ("nu12", values[3])):
        found += compared(check, key, partial(float, value))
    return found


def mat() -> list[Case]:
    check = CHECKS["A2.05"]
    given = check["input"]["UD_at_same_Vf"]
    e, g, nu = random_mat_constants(np.asarray(given["E1_GPa"]), np.asarray(given["E2_GPa"]))
    found: list[Case] = []
    for key, value in (("E_mat_GPa", e), ("G_mat_GPa", g), ("nu_mat", nu)):
        found += compared(check, key, partial(float, value))
    return found
