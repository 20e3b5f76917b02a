"""Classical lamination theory: A, B, D, strains, effective moduli (checks A1)."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import numpy as np

from recipe_track.mechanics.laminate import (
    Stiffness,
    engineering_constants,
    reduced_bending,
    stiffness,
    strip_stiffness,
)
from recipe_track.mechanics.ply import cured_ply, reduced_stiffness, rotated_stiffness
from tests.reference.case import Case, Values, checks, compared

CHECKS = checks("lamination")
MATRICES = ("A", "B", "D")


def laminate_of(given: Mapping[str, Any]) -> Stiffness:
    """The laminate that a check's input describes."""
    if "E" in given:
        e1 = e2 = given["E"]
        nu12, g12 = given["nu"], given["E"] / (2 * (1 + given["nu"]))
    else:
        e1, e2, nu12, g12 = (given[key] for key in ("E1", "E2", "nu12", "G12"))
    q = reduced_stiffness(*(np.asarray(value) for value in (e1, e2, g12, nu12)))
    angles = np.radians(given["angles_deg"])
    return stiffness(
        rotated_stiffness(np.broadcast_to(q, (len(angles), 3, 3)), angles), np.array(given["ply_thickness"])
    )


def hull_sandwich() -> tuple[Stiffness, float]:
    """A1.10 with the thickness of its plies computed from their fibre (fractions by mass 0.30 and 0.48)."""
    given = CHECKS["A1.10"]["input"]
    plies = {"csm300": (0.3, 0.30, "csm"), "csm450": (0.45, 0.30, "csm"), "wr600": (0.6, 0.48, "wr")}
    thickness, q_bar = [], []
    for name in given["stack_first_at_minus_h2"]:
        mass, fraction, material = plies.get(name, (0.0, 1.0, "pvc80"))
        built, _ = cured_ply(np.array(mass), np.array(fraction), np.array(2560.0), np.array(1200.0))
        thickness.append(float(built) or 0.02)
        constants = given["materials"][material]
        q_bar.append(reduced_stiffness(*(np.asarray(constants[key]) for key in ("E1", "E2", "G12", "nu12"))))
    return stiffness(np.stack(q_bar), np.array(thickness)), sum(thickness)


def matrix(laminate: Stiffness, name: str) -> Values:
    return {"A": laminate.a, "B": laminate.b, "D": laminate.d}[name]


def matrix_cases(check: Mapping[str, Any], laminate: Stiffness, height: float) -> list[Case]:
    """A, B, D as far as stated; a B of zeros is measured against A times the thickness."""
    cases: list[Case] = []
    for name in MATRICES:
        if name not in check["own"]:
            continue
        scale = float(np.abs(laminate.a).max() * height) if name == "B" else None
        scale = scale if not np.any(check["own"][name]) else None
        cases += compared(check, name, partial(matrix, laminate, name), scale=scale)
    return cases


def deformation(laminate: Stiffness, force: list[float], moment: list[float]) -> Values:
    whole = np.block([[laminate.a, laminate.b], [laminate.b, laminate.d]])
    return np.linalg.solve(whole, np.array([*force, *moment]))


def in_plane(laminate: Stiffness, height: float) -> dict[str, float]:
    """Effective moduli of the laminate held flat, from the inverse of A alone."""
    flat = Stiffness(laminate.a, 0 * laminate.b, laminate.d)
    a = np.linalg.inv(laminate.a)
    return {**free_to_warp(flat, height), "nuyx": float(-a[0, 1] / a[1, 1])}


def bending(laminate: Stiffness, height: float) -> dict[str, float]:
    """Flexural moduli of a symmetric laminate."""
    _, _, ei_x, ei_y = strip_stiffness(laminate)
    d = np.linalg.inv(laminate.d)
    return {
        "Efx": float(ei_x) * 12 / height**3,
        "Efy": float(ei_y) * 12 / height**3,
        "Gfxy": float(12 / (height**3 * d[2, 2])),
        "nufxy": float(-d[0, 1] / d[0, 0]),
    }


def free_to_warp(laminate: Stiffness, height: float) -> dict[str, float]:
    found = engineering_constants(laminate, np.asarray(height))
    moduli = {"Ex": found.ex_pa, "Ey": found.ey_pa, "Gxy": found.gxy_pa, "nuxy": found.nu_xy}
    return {name: float(value) for name, value in moduli.items()}


def moduli_cases(check: Mapping[str, Any], found: Mapping[str, float]) -> list[Case]:
    stated = {**check["own"], **check.get("published", {})}
    return [
        case
        for key, value in found.items()
        if key in stated
        for case in compared(check, key, partial(float, value))
    ]


def cases() -> list[Case]:
    found: list[Case] = []
    for id, check in CHECKS.items():
        if id == "A1.10":
            continue
        laminate, height = laminate_of(check["input"]), sum(check["input"]["ply_thickness"])
        found += matrix_cases(check, laminate, height)
        if id in ("A1.03", "A1.05", "A1.06"):
            found += moduli_cases(check, in_plane(laminate, height) | bending(laminate, height))
    return found + loaded() + two_conventions() + isotropic() + angle_ply() + sandwich()


def loaded() -> list[Case]:
    check = CHECKS["A1.01"]
    solved = deformation(laminate_of(check["input"]), check["input"]["N"], check["input"]["M"])
    return compared(check, "eps0", lambda: solved[:3]) + compared(check, "kappa", lambda: solved[3:])


def two_conventions() -> list[Case]:
    check = CHECKS["A1.02"]
    laminate, height = laminate_of(check["input"]), sum(check["input"]["ply_thickness"])
    found: list[Case] = []
    for key, values in (
        ("from_inverse_of_A_only", in_plane(laminate, height)),
        ("from_full_ABD_inverse", free_to_warp(laminate, height)),
    ):
        each = {**check, "own": check["own"][key], "title": f"{check['title']}, {key}"}
        found += [
            case
            for name, value in values.items()
            if name in each["own"]
            for case in compared(each, name, partial(float, value))
        ]
    return found


def isotropic() -> list[Case]:
    found: list[Case] = []
    check = CHECKS["A1.04"]
    laminate, height = laminate_of(check["input"]), sum(check["input"]["ply_thickness"])
    for name, (row, column) in {"A11": (0, 0), "A12": (0, 1), "A22": (1, 1), "A66": (2, 2)}.items():
        found += compared(check, name, partial(float, laminate.a[row, column]))
    moduli = in_plane(laminate, height)
    for key, value in (("E_iso", moduli["Ex"]), ("nu_iso", moduli["nuxy"]), ("G_iso", moduli["Gxy"])):
        found += compared(check, key, partial(float, value))
    check = CHECKS["A1.05"]
    moduli = in_plane(laminate_of(check["input"]), sum(check["input"]["ply_thickness"]))
    for key, value in (("E_iso", moduli["Ex"]), ("nu_iso", moduli["nuxy"]), ("G_iso", moduli["Gxy"])):
        found += compared(check, key, partial(float, value))
    check = CHECKS["A1.03"]
    compliance = np.linalg.inv(laminate_of(check["input"]).a)
    for key, (row, column) in {"a11": (0, 0), "a12": (0, 1), "a22": (1, 1), "a66": (2, 2)}.items():
        found += compared(check, key, partial(float, compliance[row, column]))
    check = CHECKS["A1.06"]
    laminate = laminate_of(check["input"])
    for key in ("A11", "A12", "A22", "A66", "D11", "D12", "D22", "D66"):
        row, column = int(key[1]) // 3, int(key[2]) // 3
        row, column = (2, 2) if key.endswith("66") else (int(key[1]) - 1, int(key[2]) - 1)
        found += compared(check, key, partial(float, matrix(laminate, key[0])[row, column]))
    return found


def angle_ply() -> list[Case]:
    """The shear term that is remembered differently is left to the own value, see the check's note."""
    check = CHECKS["A1.07"]
    given = check["input"]
    laminate = laminate_of(given)
    q = reduced_stiffness(*(np.asarray(given[key]) for key in ("E1", "E2", "G12", "nu12")))
    q_bar = rotated_stiffness(q, np.array(np.pi / 4))
    found = compared(check, "Qbar_plus45", lambda: q_bar)
    for key, value in (
        ("Qbar11", q_bar[0, 0]),
        ("Qbar12", q_bar[0, 1]),
        ("Qbar16", q_bar[0, 2]),
        ("A11", laminate.a[0, 0]),
        ("A12", laminate.a[0, 1]),
        ("B16_abs", abs(laminate.b[0, 2])),
        ("D11", laminate.d[0, 0]),
        ("D12", laminate.d[0, 1]),
    ):
        found += compared(check, key, partial(float, value))
    return found


def sandwich() -> list[Case]:
    check = CHECKS["A1.10"]
    laminate, height = hull_sandwich()
    reduced = reduced_bending(laminate)
    found = matrix_cases(check, laminate, height)
    flat = in_plane(laminate, height)["Ex"]
    for key, value in (
        ("h", height),
        ("neutral_axis_offset_B11_over_A11", laminate.b[0, 0] / laminate.a[0, 0]),
        ("D11_reduced", reduced[0, 0]),
        ("D22_reduced", reduced[1, 1]),
        ("Ex_from_A", flat),
    ):
        found += compared(check, key, partial(float, value))
    return found
