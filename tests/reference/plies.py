"""Thickness and fibre fraction by volume of plies (checks A3)."""

from functools import partial

import numpy as np

from recipe_track.mechanics.ply import cured_ply, with_voids
from tests.reference.case import Case, Values, checks, compared

CHECKS = checks("plies")
GLASS, POLYESTER = 2560.0, 1200.0


def thickness_mm(
    mass: float | Values, by_mass: float | Values, glass: float = GLASS, resin: float = POLYESTER
) -> Values:
    thickness, _ = cured_ply(*(np.asarray(value, dtype=float) for value in (mass, by_mass, glass, resin)))
    return thickness * 1000


def by_volume(by_mass: float | Values, glass: float = GLASS, resin: float = POLYESTER) -> Values:
    _, fraction = cured_ply(*(np.asarray(value, dtype=float) for value in (1.0, by_mass, glass, resin)))
    return fraction


def cases() -> list[Case]:
    return per_kilogram() + common_plies() + shop_rules() + coupon() + voids()


def per_kilogram() -> list[Case]:
    check = CHECKS["A3.01"]
    by_mass = np.array(check["input"]["psi"])
    found = compared(check, "t_mm_per_kg", partial(thickness_mm, 1.0, by_mass))
    found += compared(check, "Vf", partial(by_volume, by_mass))
    return found + compared(
        check, "laminate_density_kg_m3", lambda: 1000 / by_mass / thickness_mm(1.0, by_mass)
    )


def common_plies() -> list[Case]:
    check = CHECKS["A3.02"]
    mass, by_mass = np.array([[ply["w"], ply["psi"]] for ply in check["input"]["plies"]]).T
    return compared(check, "thickness_mm", partial(thickness_mm, mass, by_mass))


def shop_rules() -> list[Case]:
    check = CHECKS["A3.03"]
    given = check["input"]
    found = compared(check, "csm450_mm", partial(thickness_mm, 0.45, given["csm450_psi"]))
    found += compared(check, "wr600_mm", partial(thickness_mm, 0.6, given["wr600_psi"]))
    found += compared(
        check, "stitched_hand_mm_per_kg", partial(thickness_mm, 1.0, given["stitched_hand_psi"])
    )
    infused = thickness_mm(1.0, np.array(given["stitched_infused_psi"]))
    found += compared(check, "stitched_infused_mm_per_kg_range", lambda: infused[::-1])
    return found + compared(check, "stitched_infused_mm_per_kg", partial(float, infused.mean()))


def coupon() -> list[Case]:
    check = CHECKS["A3.07"]
    given = check["input"]
    by_mass = given["fibre_g"] / given["total_g"]
    return compared(check, "Vf", partial(by_volume, by_mass, given["rho_fibre_over_rho_resin"], 1.0))


def voids() -> list[Case]:
    check = CHECKS["A3.10"]
    given = check["input"]
    solid = np.asarray(thickness_mm(given["w_kg_m2"], given["psi"], given["rho_f"], given["rho_r"]))
    thicker, _ = with_voids(solid, np.ones(()), np.asarray(given["void_fraction"]))
    return compared(check, "thickness_mm", lambda: thicker)
