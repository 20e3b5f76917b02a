"""From fibre and resin to the stiffness of every ply, worked out."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.fabric import SubPly, fibre_fraction
from recipe_track.figures.materials import material_of
from recipe_track.figures.plies import ResolvedLayer
from recipe_track.figures.si import MPA
from recipe_track.figures.working.lines import Chapter, Line, Value, derived, rows
from recipe_track.mechanics.ply import (
    random_mat_constants,
    reduced_stiffness,
    rotated_stiffness,
    unidirectional_constants,
)
from recipe_track.recipe.craft import Part
from recipe_track.recipe.fields import Process
from recipe_track.recipe.materials import Coating, Core, Direction, Fibre, Material, Reinforcement, Resin

PUCK = (
    "conservation of volume; rule of mixtures for E1 and ν12, A. Puck, Kunststoffe 57 (1967), for E2 and "
    "G12, S. W. Tsai and N. J. Pagano (1968) for mats (all from memory)"
)
JONES = (
    "R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, ch. 2 (from memory), with T of the rows "
    "(c², s², cs), (s², c², −cs), (−2cs, 2cs, c² − s²)"
)


Known = dict[object, str]
"""Where the constants of a ply direction were worked out before."""


def ply_sections(resolved: Resolved) -> Iterator[Chapter]:
    """One section per different ply of the layup; what is equal is worked out once."""
    seen: dict[int, list[ResolvedLayer]] = {}
    for layer in resolved.layers:
        seen.setdefault(id(layer.plies), []).append(layer)
    known: Known = {}
    for equal in seen.values():
        yield from _sections(resolved, equal, known)


def _lines_words(layers: list[ResolvedLayer]) -> str:
    numbers = [str(layer.line) for layer in layers]
    return f"layer {numbers[0]}" if len(numbers) == 1 else f"layers {', '.join(numbers)}"


def _sections(resolved: Resolved, equal: list[ResolvedLayer], known: Known) -> Iterator[Chapter]:
    layer, where = equal[0], _lines_words(equal)
    title = f"{layer.layer.material}, one ply of {where}"
    if isinstance(layer.material, Reinforcement):
        carries = any(one.full for one in equal)
        worked = _fabric_lines(resolved, layer, layer.material, where, known) if carries else ()
        yield Chapter(title, (*worked, *_areal_lines(layer)), f"{PUCK}; {JONES}" if carries else "")
    elif isinstance(layer.material, Core):
        process = layer.layer.process or resolved.case.part.process
        yield Chapter(title, tuple(_core_lines(layer, layer.material, process)), JONES)
    elif isinstance(layer.material, Coating):
        thickness, density = layer.layer.thickness_mm or 0.0, layer.material.density_kg_m3
        yield Chapter(title, (_own_weight(density, thickness, layer.plies.own_kg_m2),))


def _fabric_lines(
    resolved: Resolved, layer: ResolvedLayer, fabric: Reinforcement, where: str, known: Known
) -> Iterator[Line]:
    directions = fabric.directions[::-1] if layer.layer.flipped else fabric.directions
    pairs = zip(layer.plies.sub_plies, directions, strict=True)
    for number, (ply, direction) in enumerate(pairs, start=1):
        key = (layer.layer.material, direction.fibre, replace(ply, angle_rad=0.0))
        before = known.setdefault(key, f"direction {number} of {where}")
        if before == f"direction {number} of {where}":
            yield Line(f"direction {number}", _direction_words(ply))
            yield from _constants_of(resolved, layer, fabric, direction, ply)
        else:
            yield Line(f"direction {number}", f"{_direction_words(ply)}; constants and Q of {before}")
        yield from _turned(ply)
    if fabric.woven:
        mean = rows(layer.plies.q_bar_pa[0] * 1e-9)
        yield Line("one ply of the woven fabric", mean, "GPa", "Q̄", "Σ t Q̄ / Σ t over the directions")


def _constants_of(
    resolved: Resolved, layer: ResolvedLayer, fabric: Reinforcement, direction: Direction, ply: SubPly
) -> Iterator[Line]:
    case = resolved.case
    if fabric.lamina is None:
        yield from _estimate(layer, fabric, direction, ply, case.part, case.materials)
    else:
        yield from _tested(fabric, direction, ply)
    yield from _reduced(ply)


def _areal_lines(layer: ResolvedLayer) -> Iterator[Line]:
    plies = layer.plies
    whole, resin = plies.own_kg_m2, plies.resin_kg_m2
    yield Line("fibre of the ply", plies.fibre_kg_m2, "kg/m²", "wf", "as stated, all directions")
    if isinstance(layer.material, Reinforcement) and layer.material.lamina is not None:
        lamina = layer.material.lamina
        given = Value("ρ", lamina.density_kg_m3, "kg/m³"), Value("h", lamina.thickness_mm, "mm")
        yield derived("tested ply", "w", "{ρ} · {h} / 1000", whole, "kg/m²", *given)
        parts = Value("w", whole, "kg/m²"), Value("wf", plies.fibre_kg_m2, "kg/m²")
        yield derived("resin of the ply", "wm", "{w} − {wf}", resin, "kg/m²", *parts)
        return
    fraction = Value("ψ", plies.fibre_kg_m2 / whole)
    yield derived(
        "resin of the ply", "wm", "{wf} · (1 − {ψ}) / {ψ}", resin, "kg/m²",
        Value("wf", plies.fibre_kg_m2, "kg/m²"), fraction,
    )  # fmt: skip


def _direction_words(ply: SubPly) -> str:
    return "random" if ply.random else f"{_degrees(ply)} from the zone's x axis"


def _degrees(ply: SubPly) -> str:
    return f"{np.degrees(ply.angle_rad):g}°".replace("-", "−")


def _tested(fabric: Reinforcement, direction: Direction, ply: SubPly) -> Iterator[Line]:
    lamina = fabric.lamina
    assert lamina is not None
    yield derived(
        "thickness", "t", "{s} · {h}", ply.thickness_m * 1e3, "mm",
        Value("s", direction.share), Value("h", lamina.thickness_mm, "mm"),
    )  # fmt: skip
    for symbol, value in (("E1", lamina.e1_gpa), ("E2", lamina.e2_gpa), ("G12", lamina.g12_gpa)):
        yield Line("tested", value, "GPa", symbol, source=lamina.source or fabric.source or "")
    yield Line("tested", lamina.nu12, "", "ν12", source=lamina.source or fabric.source or "")


def _estimate(
    layer: ResolvedLayer,
    fabric: Reinforcement,
    direction: Direction,
    ply: SubPly,
    part: Part,
    materials: Mapping[str, Material],
) -> Iterator[Line]:
    fibre = material_of(materials, direction.fibre or fabric.fibre, Fibre)
    resin = material_of(materials, layer.resin, Resin)
    fraction, voids = fibre_fraction(layer.layer, part, fabric), layer.plies.void_fraction
    yield from _volumes(fabric, direction, ply, fibre, resin, fraction, voids)
    yield from _constants(fabric, ply, fibre, resin, voids)


def _volumes(
    fabric: Reinforcement,
    direction: Direction,
    ply: SubPly,
    fibre: Fibre,
    resin: Resin,
    fraction: float,
    voids: float,
) -> Iterator[Line]:
    dry = Value("m", direction.share * fabric.areal_mass_g_m2 * 1e-3, "kg/m²")
    rho_f, rho_m = Value("ρf", fibre.density_kg_m3, "kg/m³"), Value("ρm", resin.density_kg_m3, "kg/m³")
    thickness, solid = ply.thickness_m * 1e3, ply.thickness_m * 1e3 * (1 - voids)
    yield derived(
        "fibre", "m", "{s} · {w} / 1000", dry.number, "kg/m²",
        Value("s", direction.share), Value("w", fabric.areal_mass_g_m2, "g/m²"),
    )  # fmt: skip
    yield derived(
        "thickness", "t", "1000 · ({m} / {ρf} + {m} · (1 − {ψ}) / ({ψ} · {ρm}))", solid, "mm",
        dry, rho_f, Value("ψ", fraction), rho_m,
    )  # fmt: skip
    if voids:
        given = Value("t", solid, "mm"), Value("v", voids)
        yield derived("thickness with voids", "t", "{t} / (1 − {v})", thickness, "mm", *given)
    yield derived(
        "fibre by volume", "φ", "1000 · {m} / {ρf} / {t}", ply.fibre_volume_fraction, "",
        dry, rho_f, Value("t", thickness, "mm"),
    )  # fmt: skip


def _constants(
    fabric: Reinforcement, ply: SubPly, fibre: Fibre, resin: Resin, voids: float
) -> Iterator[Line]:
    """E1, E2, G12 and ν12; voids leave so much less of the resin between the fibres."""
    across = fibre.e_transverse_gpa or fibre.e_axial_gpa
    phi, em, num = (
        Value("φ", ply.fibre_volume_fraction),
        Value("Em", resin.e_gpa, "GPa"),
        Value("νm", resin.nu),
    )
    gm, v = Value("Gm", resin.e_gpa / (2 * (1 + resin.nu)), "GPa"), Value("v", voids)
    e1, e2, g12, nu12 = (
        float(value)
        for value in unidirectional_constants(
            *(np.asarray(v) for v in (phi.number, fibre.e_axial_gpa, across, fibre.g_gpa, fibre.nu)),
            *(np.asarray(v) for v in (resin.e_gpa, resin.nu, voids)),
        )
    )
    ef, eft = Value("Ef", fibre.e_axial_gpa, "GPa"), Value("Eft", across, "GPa")
    gf, nuf = Value("Gf", fibre.g_gpa, "GPa"), Value("νf", fibre.nu)
    if voids:
        along = "{φ} · {Ef} + (1 − {φ} − {v}) · {Em}"
        yield derived("along", "E1", along, e1, "GPa", phi, ef, em, v)
    else:
        yield derived("along", "E1", "{φ} · {Ef} + (1 − {φ}) · {Em}", e1, "GPa", phi, ef, em)
    yield derived("Poisson", "ν12", "{φ} · {νf} + (1 − {φ}) · {νm}", nu12, "", phi, nuf, num)
    yield derived("resin in shear", "Gm", "{Em} / (2 · (1 + {νm}))", gm.number, "GPa", em, num)
    if voids:
        share = (1 - phi.number - voids) / (1 - phi.number)
        for modulus in (em, gm):
            formula = f"{{{modulus.symbol}}} · (1 − {{φ}} − {{v}}) / (1 − {{φ}})"
            less = modulus.number * share
            yield derived("resin with its voids", modulus.symbol, formula, less, "GPa", modulus, phi, v)
        em, gm = Value("Em", em.number * share, "GPa"), Value("Gm", gm.number * share, "GPa")
    yield derived("across", "E2", _E2, e2, "GPa", phi, em, num, eft)
    yield derived("in-plane shear", "G12", _G12, g12, "GPa", phi, gm, gf)
    yield from _mat(fabric, ply, e1, e2) if ply.random else _knocked_down(fabric, ply, e1, e2, g12)


_E2 = (
    "{Em} / (1 − {νm}^2) · (1 + 0.85 · {φ}^2) / "
    "((1 − {φ})^1.25 + {φ} · {Em} / ({Eft} · (1 − {νm}^2)))"
)  # fmt: skip
_G12 = "{Gm} · (1 + 0.6 · √({φ})) / ((1 − {φ})^1.25 + {φ} · {Gm} / {Gf})"


def _mat(fabric: Reinforcement, ply: SubPly, e1: float, e2: float) -> Iterator[Line]:
    one, two = Value("E1", e1, "GPa"), Value("E2", e2, "GPa")
    e, g, nu = (float(v) for v in random_mat_constants(np.asarray(e1), np.asarray(e2)))
    yield derived("mat", "E", "3 / 8 · {E1} + 5 / 8 · {E2}", e, "GPa", one, two)
    yield derived("mat in shear", "G", "1 / 8 · {E1} + 1 / 4 · {E2}", g, "GPa", one, two)
    yield derived(
        "mat, Poisson", "ν", "{E} / (2 · {G}) − 1", nu, "", Value("E", e, "GPa"), Value("G", g, "GPa")
    )
    yield from _scaled(fabric, {"E": (e, ply.e1_pa), "G": (g, ply.g12_pa)})


def _knocked_down(fabric: Reinforcement, ply: SubPly, e1: float, e2: float, g12: float) -> Iterator[Line]:
    yield from _scaled(fabric, {"E1": (e1, ply.e1_pa), "E2": (e2, ply.e2_pa), "G12": (g12, ply.g12_pa)})


def _scaled(fabric: Reinforcement, moduli: Mapping[str, tuple[float, float]]) -> Iterator[Line]:
    if fabric.stiffness_factor == 1.0:
        return
    factor = Value("k", fabric.stiffness_factor)
    for symbol, (raw, used) in moduli.items():
        formula = f"{{k}} · {{{symbol}}}"
        yield derived(
            "with the stiffness factor",
            symbol,
            formula,
            used * 1e-9,
            "GPa",
            factor,
            Value(symbol, raw, "GPa"),
        )


def _reduced(ply: SubPly) -> Iterator[Line]:
    e1, e2, nu = (
        Value("E1", ply.e1_pa * 1e-9, "GPa"),
        Value("E2", ply.e2_pa * 1e-9, "GPa"),
        Value("ν12", ply.nu12),
    )
    share = 1 - ply.nu12**2 * ply.e2_pa / ply.e1_pa
    below = " / (1 − {ν12}^2 · {E2} / {E1})"
    yield derived("reduced stiffness", "Q11", "{E1}" + below, e1.number / share, "GPa", e1, e2, nu)
    yield derived("", "Q22", "{E2}" + below, e2.number / share, "GPa", e1, e2, nu)
    yield derived("", "Q12", "{ν12} · {E2}" + below, ply.nu12 * e2.number / share, "GPa", e1, e2, nu)
    yield Line("", ply.g12_pa * 1e-9, "GPa", "Q66", "G of the mat" if ply.random else "G12")


def _turned(ply: SubPly) -> Iterator[Line]:
    if ply.random:
        return
    q = reduced_stiffness(*(np.asarray(v) for v in (ply.e1_pa, ply.e2_pa, ply.g12_pa, ply.nu12)))
    q_bar = rotated_stiffness(q, np.asarray(ply.angle_rad))
    yield Line("in zone axes", rows(q_bar * 1e-9), "GPa", "Q̄", f"Tᵀ Q T, turned by {_degrees(ply)}")


def _core_lines(layer: ResolvedLayer, core: Core, process: Process) -> Iterator[Line]:
    plies = layer.plies
    yield from _core_weights(layer, core, process)
    if core.e_inplane_mpa:
        e, nu = Value("E", core.e_inplane_mpa, "MPa"), Value("ν", core.nu)
        q = plies.q_bar_pa[0] / MPA
        yield derived("in its plane", "Q11 = Q22", "{E} / (1 − {ν}^2)", float(q[0, 0]), "MPa", e, nu)
        yield derived("", "Q12", "{ν} · {E} / (1 − {ν}^2)", float(q[0, 1]), "MPa", e, nu)
        yield derived("", "Q66", "{E} / (2 · (1 + {ν}))", float(q[2, 2]), "MPa", e, nu)
    gx, gy = (float(g) / MPA for g in plies.g_pa[0])
    if core.g_l_mpa is None or core.g_w_mpa is None or core.g_mpa is not None:
        yield Line("across the thickness", gx, "MPa", "Gx = Gy", "G as stated")
        return
    strong, weak = Value("Gl", core.g_l_mpa, "MPa"), Value("Gw", core.g_w_mpa, "MPa")
    c = Value("c", float(np.cos(np.radians(layer.layer.angle_deg))))
    s = Value("s", float(np.sin(np.radians(layer.layer.angle_deg))))
    along, across = "{Gl} · {c}^2 + {Gw} · {s}^2", "{Gl} · {s}^2 + {Gw} · {c}^2"
    yield derived("across the thickness", "Gx", along, gx, "MPa", strong, weak, c, s)
    yield derived("", "Gy", across, gy, "MPa", strong, weak, c, s)


def _own_weight(density_kg_m3: float, thickness_mm: float, own_kg_m2: float) -> Line:
    given = Value("ρ", density_kg_m3, "kg/m³"), Value("t", thickness_mm, "mm")
    return derived("weight", "w", "{ρ} · {t} / 1000", own_kg_m2, "kg/m²", *given)


def _core_weights(layer: ResolvedLayer, core: Core, process: Process) -> Iterator[Line]:
    thickness = layer.layer.thickness_mm or 0.0
    yield _own_weight(core.density_kg_m3, thickness, layer.plies.own_kg_m2)
    if layer.layer.uptake_g_m2 is not None:
        yield Line("resin taken up, as the layer states", layer.plies.uptake_kg_m2, "kg/m²", "wu")
        return
    yield derived(
        "resin taken up", "wu", "(2 · {us} + {up} · {t}) / 1000", layer.plies.uptake_kg_m2, "kg/m²",
        Value("us", core.surface_uptake_g_m2[process], "g/m²"),
        Value("up", core.perforation_uptake_g_m2_mm[process], "g/m² per mm"),
        Value("t", thickness, "mm"),
    )  # fmt: skip
