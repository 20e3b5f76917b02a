"""Stiffeners: sections of hats, and hats as beams (checks A10)."""

from dataclasses import replace
from functools import partial

import numpy as np

from recipe_track.mechanics.beam import (
    Beam,
    beam_deflection,
    beam_frequency,
    beam_strain_use,
    greatest_moment,
    web_shear_use,
)
from recipe_track.mechanics.section import (
    HatShape,
    Parts,
    Wall,
    bending_stiffness,
    flow_moment,
    girth,
    hat,
    joined,
    plating,
    section_modulus,
    wall,
    web_length,
    web_shear_stiffness,
)
from tests.reference.case import Case, Values, checks, compared

CHECKS = checks("stiffeners")
GIVEN = CHECKS["A10.01"]["input"]
SHAPE = HatShape(*(GIVEN[key] / 1e3 for key in ("height_mm", "crown_mm", "base_mm", "flange_mm")))
THICK, WIDTH = (GIVEN["plating_mm"][key] / 1e3 for key in ("thickness", "width"))


def wall_of(*lines: tuple[float, float]) -> Wall:
    modulus, thickness = np.array(lines).T
    return wall(modulus, thickness)


def of_one(modulus: float) -> Wall:
    return wall_of((modulus, GIVEN["wall_mm"] / 1e3))


def plate(modulus: float) -> Parts:
    return plating(modulus * THICK, modulus * THICK**3 / 12, -THICK / 2, WIDTH)


def section(shape: HatShape, plated: bool) -> dict[str, float]:
    """The section of one material of modulus 1, in mm and cm³."""
    sheet = of_one(1.0)
    parts = hat(shape, sheet, sheet, sheet)
    parts = joined(parts, plate(1.0)) if plated else parts
    ei, axis = (float(value) for value in bending_stiffness(parts))
    over, under = shape.height_m + sheet.thickness_m - axis, axis + (THICK if plated else 0.0)
    return {
        "area_mm2": float(parts.ea.sum()) * 1e6,
        "axis_mm": axis * 1e3,
        "i_mm4": ei * 1e12,
        "crown_cm3": section_modulus(ei, 1.0, over) * 1e6,
        "base_cm3": section_modulus(ei, 1.0, under) * 1e6,
    }


def cases() -> list[Case]:
    return hats() + capped() + beams()


def hats() -> list[Case]:
    check = CHECKS["A10.01"]
    found = compared(check, "web_length_mm", lambda: web_length(SHAPE) * 1e3)
    found += compared(check, "girth_mm", lambda: girth(SHAPE) * 1e3)
    shear = partial(web_shear_stiffness, SHAPE, GIVEN["wall_mm"] / 1e3)
    found += compared(check, "web_shear_area_mm2", lambda: shear() * 1e6)
    upright = replace(SHAPE, base_m=SHAPE.crown_m)
    for name, shape, plated in (
        ("alone", SHAPE, False),
        ("plated", SHAPE, True),
        ("upright", upright, False),
    ):
        keys = list(check["own"][name])
        flat = {**check, "own": {name: list(check["own"][name].values())}}
        for n, key in enumerate(keys):
            one = {**flat, "own": {f"{name} {key}": flat["own"][name][n]}}
            found += compared(one, f"{name} {key}", partial(_part, shape, plated, key))
    return found


def _part(shape: HatShape, plated: bool, key: str) -> float:
    return section(shape, plated)[key]


def capped() -> list[Case]:
    check = CHECKS["A10.02"]
    given = check["input"]
    base, cap = (given[key] * 1e9 for key in ("e_gpa", "cap_gpa"))
    sheet, top = of_one(base), wall_of((base, GIVEN["wall_mm"] / 1e3), (cap, given["cap_mm"] / 1e3))
    ei, axis = (float(v) for v in bending_stiffness(joined(hat(SHAPE, top, sheet, sheet), plate(base))))
    over = SHAPE.height_m + top.thickness_m - axis
    found = compared(check, "axis_mm", lambda: axis * 1e3)
    found += compared(check, "ei_kn_m2", lambda: ei / 1e3)
    modulus = section_modulus(ei, top.ea / top.thickness_m, over)
    remark = "stated to three digits"
    return found + compared(check, "crown_cm3", lambda: modulus * 1e6, tolerance=1e-3, remark=remark)


NO_LIMITS = np.array([[1.0, 1.0, 1.0, 1.0]])
ALONG, UPRIGHT = np.zeros(1), np.zeros(1, dtype=bool)


def beam_of(clamped: bool) -> tuple[Beam, float, float]:
    """The hat on plating as a beam, the height of its axis and its mass per metre."""
    given = CHECKS["A10.03"]["input"]
    e, g = given["e_gpa"] * 1e9, given["g_gpa"] * 1e9
    sheet = of_one(e)
    parts = joined(hat(SHAPE, sheet, sheet, sheet), plate(e))
    ei, axis = (float(v) for v in bending_stiffness(parts))
    ga = web_shear_stiffness(SHAPE, g * sheet.thickness_m)
    width = given["load_width_mm"] / 1e3
    hat_area = section(SHAPE, False)["area_mm2"] / 1e6
    mass = given["density_kg_m3"] * (hat_area + THICK * width)
    return Beam(given["pressure_kpa"] * 1e3 * width, given["span_mm"] / 1e3, ei, ga, clamped), axis, mass


def crown_strain(clamped: bool) -> float:
    """By the use of a ply with a limit of 1, against no sideways strain."""
    beam, axis, _ = beam_of(clamped)
    top = SHAPE.height_m + GIVEN["wall_mm"] / 1e3 - axis
    curvature, heights = greatest_moment(beam) / beam.ei_n_m2, np.array([[0.0, top]])
    sideways = np.array([[1.0, 0.0, 0.0]])
    return beam_strain_use(curvature, heights, sideways, ALONG, UPRIGHT, NO_LIMITS).use


def web_flow() -> float:
    beam, axis, _ = beam_of(True)
    sheet = of_one(CHECKS["A10.03"]["input"]["e_gpa"] * 1e9)
    moment = flow_moment(SHAPE, sheet, sheet, 0.0, axis)
    return beam.load_n_per_m * beam.span_m / 2 * moment / (2 * beam.ei_n_m2)


def web_strain() -> float:
    shear = CHECKS["A10.03"]["input"]["g_gpa"] * 1e9 * GIVEN["wall_mm"] / 1e3
    return web_shear_use(web_flow(), np.diag([0.0, 0.0, 1 / shear]), ALONG, UPRIGHT, NO_LIMITS).use


def bent_only(beam: Beam) -> Beam:
    return replace(beam, ga_n=1e30)


def both(take) -> Values:  # type: ignore[no-untyped-def]
    return np.array([take(clamped) for clamped in (True, False)])


def beams() -> list[Case]:
    check = CHECKS["A10.03"]
    beam, _, mass = beam_of(True)
    shear = replace(beam, ei_n_m2=1e30)
    found = compared(check, "ei_kn_m2", lambda: beam.ei_n_m2 / 1e3)
    found += compared(check, "ga_kn", lambda: beam.ga_n / 1e3)
    found += compared(check, "mass_kg_m", lambda: mass)
    for n, key in enumerate(("bending_mm", "shear_mm")):
        found += compared(check, key, partial(both, lambda c, n=n: beam_deflection(beam_of(c)[0])[n] * 1e3))
    found += compared(check, "crown_strain", partial(both, crown_strain))
    found += compared(
        check, "bending_hz", partial(both, lambda c: beam_frequency(bent_only(beam_of(c)[0]), mass))
    )
    found += compared(check, "shear_hz", lambda: beam_frequency(shear, mass))
    found += compared(check, "hz", partial(both, lambda c: beam_frequency(beam_of(c)[0], mass)))
    found += compared(check, "flow_n_per_mm", lambda: web_flow() / 1e3)
    return found + compared(check, "web_shear_strain", web_strain)
