"""Stiffness of a ply in its own and in turned axes (checks A7)."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import numpy as np

from recipe_track.mechanics.laminate import stiffness, strip_stiffness
from recipe_track.mechanics.ply import reduced_stiffness, rotated_stiffness
from tests.reference.case import Case, Values, checks, compared

CHECKS = checks("transformations")
PLACES = {"11": (0, 0), "12": (0, 1), "16": (0, 2), "22": (1, 1), "26": (1, 2), "66": (2, 2)}


def ply(given: Mapping[str, Any]) -> Values:
    """Q of the ply, in GPa as in the checks."""
    return reduced_stiffness(*(np.asarray(given[key]) for key in ("E1_GPa", "E2_GPa", "G12_GPa", "nu12")))


def turned(given: Mapping[str, Any], angle_deg: float) -> Values:
    return rotated_stiffness(ply(given), np.radians(np.asarray(angle_deg)))


def along(q_bar: Values) -> tuple[float, float]:
    """Young's moduli of a strip of the turned ply, cut along x and along y."""
    ea_x, ea_y, _, _ = strip_stiffness(stiffness(q_bar[None], np.array([1.0])))
    return float(ea_x), float(ea_y)


def cases() -> list[Case]:
    return reduced() + off_axis_60() + off_axis_30() + fabric()


def reduced() -> list[Case]:
    """Q, and the invariants as averages of Q̄ over the angle."""
    check = CHECKS["A7.01"]
    q = ply(check["input"])
    found = [
        case
        for key in ("11", "12", "22", "66")
        for case in compared(check, f"Q{key}", partial(float, q[PLACES[key]]))
    ]
    angles = np.arange(360) * np.pi / 180
    q_bar = rotated_stiffness(np.broadcast_to(q, (360, 3, 3)), angles)
    invariants = {
        "U1": q_bar[:, 0, 0].mean(),
        "U2": 2 * (q_bar[:, 0, 0] * np.cos(2 * angles)).mean(),
        "U3": 2 * (q_bar[:, 0, 0] * np.cos(4 * angles)).mean(),
        "U4": q_bar[:, 0, 1].mean(),
        "U5": q_bar[:, 2, 2].mean(),
    }
    return found + [
        case for key, value in invariants.items() for case in compared(check, key, partial(float, value))
    ]


def off_axis_60() -> list[Case]:
    check = CHECKS["A7.02"]
    q_bar = turned(check["input"], check["input"]["theta_deg"])
    s_bar = np.linalg.inv(q_bar)
    e_x, e_y = along(q_bar)
    found = compared(check, "Qbar_GPa", lambda: q_bar) + compared(check, "Sbar_per_Pa", lambda: s_bar * 1e-9)
    for key, value in (
        ("Ex_GPa", e_x),
        ("Ey_GPa", e_y),
        ("Gxy_GPa", 1 / s_bar[2, 2]),
        ("nuxy", -s_bar[0, 1] / s_bar[0, 0]),
    ):
        found += compared(check, key, partial(float, value))
    return found


def off_axis_30() -> list[Case]:
    check = CHECKS["A7.03"]
    q_bar = turned(check["input"], check["input"]["theta_deg"])
    return [
        case
        for key, place in PLACES.items()
        for case in compared(check, f"Qbar{key}", partial(float, q_bar[place]))
    ]


def fabric() -> list[Case]:
    check = CHECKS["A7.04"]
    q_bars = [turned(check["input"], angle) for angle in check["input"]["theta_deg"]]
    young = np.array([along(q_bar)[0] for q_bar in q_bars])
    shear = np.array([1 / np.linalg.inv(q_bar)[2, 2] for q_bar in q_bars])
    return compared(check, "Ex_GPa", lambda: young) + compared(check, "Gxy_GPa", lambda: shear)
