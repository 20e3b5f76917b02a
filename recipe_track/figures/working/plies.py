"""From fibre and resin to the stiffness of every ply: one equation after the other, each for all plies."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.fabric import SubPly, fibre_fraction, void_fraction
from recipe_track.figures.materials import material_of
from recipe_track.figures.plies import ResolvedLayer
from recipe_track.figures.si import GPA, MPA
from recipe_track.figures.working.inputs import part_with, told_as
from recipe_track.figures.working.lines import Chapter, Line, Value, derived, rows
from recipe_track.mechanics.ply import (
    random_mat_constants,
    reduced_stiffness,
    rotated_stiffness,
    unidirectional_constants,
)
from recipe_track.recipe.materials import Core, Direction, Fibre, Reinforcement, Resin

VOLUMES = "conservation of volume"
ESTIMATE = "rule of mixtures for E1 and ν12; Puck 1967 for E2 and G12; Tsai and Pagano 1968 for mats"
ROTATED = (
    "Jones 1999, ch. 2; Q̄ = Tᵀ Q T with T of the rows (c², s², cs), (s², c², −cs), (−2cs, 2cs, c² − s²), "
    "c and s of the angle from the zone's x axis"
)


@dataclass(frozen=True, slots=True, eq=False)
class Fibrous:
    """One direction of a fabric as it lies in the stack, with what it is made of; `name` tells it apart."""

    name: str
    fabric: Reinforcement
    direction: Direction
    ply: SubPly
    fibre: Fibre
    resin: Resin | None
    fraction: float
    voids: float

    @property
    def constants(self) -> tuple[object, ...]:
        """What two directions have in common where their moduli are one."""
        return (id(self.fabric), id(self.fibre), id(self.resin), self.fraction, self.voids, self.ply.random)


def ply_sections(resolved: Resolved) -> Iterator[Chapter]:
    """Thickness, moduli and stiffness of every different ply that carries."""
    carrying = [layer for layer in (*resolved.layers, *resolved.attached) if layer.full]
    fibrous = list(_directions(resolved, carrying))
    estimated = [one for one in fibrous if one.fabric.lamina is None]
    tested = [one for one in fibrous if one.fabric.lamina is not None]
    if fibrous:
        lines = (*_volumes(_different(estimated, share=True)), *_tested(_different(tested, share=True)))
        yield Chapter("Plies: thickness", lines, VOLUMES if estimated else "")
    if estimated:
        yield Chapter("Plies: moduli", tuple(_moduli(_different(estimated))), ESTIMATE)
    lines = (*_reduced(_different(fibrous)), *_core_lines(carrying), *_turned(resolved, carrying))
    if lines:
        yield Chapter("Plies: stiffness", lines, ROTATED)


def _directions(resolved: Resolved, layers: Iterable[ResolvedLayer]) -> Iterator[Fibrous]:
    case = resolved.case
    for layer in layers:
        fabric = layer.material
        if not isinstance(fabric, Reinforcement):
            continue
        given, part = fabric.lamina is not None, part_with(resolved, layer)
        fraction = 0.0 if given else fibre_fraction(layer.layer, part, fabric)
        voids = 0.0 if given else void_fraction(layer.layer, part, fabric)
        resin = None if given else material_of(case.materials, layer.resin, Resin)
        directions = fabric.directions[::-1] if layer.layer.flipped else fabric.directions
        for ply, direction in zip(layer.plies.sub_plies, directions, strict=True):
            fibre = material_of(case.materials, direction.fibre or fabric.fibre, Fibre)
            name = f"{told_as(layer, resolved)}{_apart(fabric, direction)}"
            yield Fibrous(name, fabric, direction, ply, fibre, resin, fraction, voids)


def _apart(fabric: Reinforcement, direction: Direction) -> str:
    """What tells a direction from the others of its fabric: random, another fibre, another share."""
    others = [one for one in fabric.directions if one is not direction]
    words = []
    if any(bool(one.random) != bool(direction.random) for one in others):
        words.append("random" if direction.random else "aligned")
    if any(one.fibre != direction.fibre for one in others):
        words.append(direction.fibre or fabric.fibre)
    if any(one.share != direction.share for one in others):
        words.append(f"s = {direction.share:g}")
    return f", {', '.join(words)}" if words else ""


def _different(fibrous: Iterable[Fibrous], share: bool = False) -> list[Fibrous]:
    """The first of each kind, and with `share` of each share too."""
    first: dict[tuple[object, ...], Fibrous] = {}
    for one in fibrous:
        first.setdefault((*one.constants, one.direction.share if share else None), one)
    return list(first.values())


def _dry(one: Fibrous) -> Value:
    return Value("m", one.direction.share * one.fabric.areal_mass_g_m2 * 1e-3, "kg/m²")


def _thick(one: Fibrous) -> Value:
    return Value("t", one.ply.thickness_m * 1e3, "mm")


def _phi(one: Fibrous) -> Value:
    return Value("φ", one.ply.fibre_volume_fraction)


def _volumes(fibrous: list[Fibrous]) -> Iterator[Line]:
    for one in fibrous:
        given = Value("s", one.direction.share), Value("w", one.fabric.areal_mass_g_m2, "g/m²")
        yield derived(one.name, "m", "{s} · {w} / 1000", _dry(one).number, "kg/m²", *given)
    for one in fibrous:
        assert one.resin is not None
        solid = _thick(one).number * (1 - one.voids)
        mixed = (
            _dry(one), Value("ρf", one.fibre.density_kg_m3, "kg/m³"), Value("ψ", one.fraction),
            Value("ρm", one.resin.density_kg_m3, "kg/m³"),
        )  # fmt: skip
        symbol = "t°" if one.voids else "t"
        formula = "1000 · {m} · (1 / {ρf} + (1 − {ψ}) / ({ψ} · {ρm}))"
        yield derived(one.name, symbol, formula, solid, "mm", *mixed)
    for one in fibrous:
        if one.voids:
            given = Value("t°", _thick(one).number * (1 - one.voids), "mm"), Value("v", one.voids)
            yield derived(one.name, "t", "{t°} / (1 − {v})", _thick(one).number, "mm", *given)
    for one in fibrous:
        held = _dry(one), Value("ρf", one.fibre.density_kg_m3, "kg/m³"), _thick(one)
        yield derived(one.name, "φ", "1000 · {m} / ({ρf} · {t})", _phi(one).number, "", *held)


def _tested(fibrous: list[Fibrous]) -> Iterator[Line]:
    for one in fibrous:
        assert one.fabric.lamina is not None
        given = Value("s", one.direction.share), Value("h", one.fabric.lamina.thickness_mm, "mm")
        yield derived(f"{one.name}, as tested", "t", "{s} · {h}", _thick(one).number, "mm", *given)


@dataclass(frozen=True, slots=True)
class Estimated:
    """The constants that the formulas give for a direction, before the stiffness factor."""

    of: Fibrous
    e1: Value
    e2: Value
    g12: Value
    nu12: Value


def _estimated(one: Fibrous) -> Estimated:
    assert one.resin is not None
    e1, e2, g12, nu12 = (
        float(value)
        for value in unidirectional_constants(
            *(np.asarray(v) for v in (_phi(one).number, one.fibre.e_axial_gpa, _across(one).number)),
            *(np.asarray(v) for v in (one.fibre.g_gpa, one.fibre.nu)),
            *(np.asarray(v) for v in (one.resin.e_gpa, one.resin.nu, one.voids)),
        )
    )
    return Estimated(
        one, Value("E1°", e1, "GPa"), Value("E2°", e2, "GPa"), Value("G12°", g12, "GPa"), Value("ν12", nu12)
    )


def _across(one: Fibrous) -> Value:
    given = one.fibre.e_transverse_gpa
    return Value("Ef", one.fibre.e_axial_gpa, "GPa") if given is None else Value("Eft", given, "GPa")


def _resin_values(one: Fibrous) -> tuple[Value, Value, Value]:
    assert one.resin is not None
    nu = Value("νm", one.resin.nu)
    modulus = Value("Em", one.resin.e_gpa, "GPa")
    return modulus, nu, Value("Gm", one.resin.e_gpa / (2 * (1 + one.resin.nu)), "GPa")


def _moduli(fibrous: list[Fibrous]) -> Iterator[Line]:
    found = [_estimated(one) for one in fibrous]
    for em, nu, gm in dict.fromkeys(_resin_values(one) for one in fibrous):
        yield derived("resin", "Gm", "{Em} / (2 · (1 + {νm}))", gm.number, "GPa", em, nu)
    yield from map(_along, found)
    yield from map(_poisson, [one for one in found if not one.of.ply.random])
    yield from (line for one in fibrous if one.voids for line in _thinned(one))
    yield from map(_transverse, found)
    yield from map(_sheared, [one for one in found if not one.of.ply.random])
    yield from _mats([one for one in found if one.of.ply.random])
    yield from _knocked_down([one for one in found if not one.of.ply.random])


def _along(found: Estimated) -> Line:
    one = found.of
    em, given = _resin_values(one)[0], Value("Ef", one.fibre.e_axial_gpa, "GPa")
    if one.voids:
        formula = "{φ} · {Ef} + (1 − {φ} − {v}) · {Em}"
        values = (_phi(one), given, Value("v", one.voids), em)
        return derived(one.name, "E1°", formula, found.e1.number, "GPa", *values)
    formula = "{φ} · {Ef} + (1 − {φ}) · {Em}"
    return derived(one.name, "E1°", formula, found.e1.number, "GPa", _phi(one), given, em)


def _poisson(found: Estimated) -> Line:
    one = found.of
    given = _phi(one), Value("νf", one.fibre.nu), _resin_values(one)[1]
    return derived(one.name, "ν12", "{φ} · {νf} + (1 − {φ}) · {νm}", found.nu12.number, "", *given)


def _thinned(one: Fibrous) -> Iterator[Line]:
    """What the voids leave of the resin's moduli."""
    em, _, gm = _resin_values(one)
    share = (1 - _phi(one).number - one.voids) / (1 - _phi(one).number)
    for modulus in (em, gm):
        formula = f"{{{modulus.symbol}}} · (1 − {{φ}} − {{v}}) / (1 − {{φ}})"
        given = modulus, _phi(one), Value("v", one.voids)
        name = f"{one.name}, resin with its voids"
        yield derived(name, f"{modulus.symbol}v", formula, modulus.number * share, "GPa", *given)


def _left(one: Fibrous, modulus: Value) -> Value:
    """A modulus of the resin as the voids leave it."""
    if not one.voids:
        return modulus
    share = (1 - _phi(one).number - one.voids) / (1 - _phi(one).number)
    return Value(f"{modulus.symbol}v", modulus.number * share, "GPa")


def _transverse(found: Estimated) -> Line:
    one = found.of
    em, nu, _ = _resin_values(one)
    em, eft = _left(one, em), _across(one)
    formula = (
        f"{{{em.symbol}}} / (1 − {{νm}}^2) · (1 + 0.85 · {{φ}}^2) / "
        f"((1 − {{φ}})^1.25 + {{φ}} · {{{em.symbol}}} / ({{{eft.symbol}}} · (1 − {{νm}}^2)))"
    )
    return derived(one.name, "E2°", formula, found.e2.number, "GPa", _phi(one), em, nu, eft)


def _sheared(found: Estimated) -> Line:
    one = found.of
    gm, gf = _left(one, _resin_values(one)[2]), Value("Gf", one.fibre.g_gpa, "GPa")
    symbol = f"{{{gm.symbol}}}"
    formula = f"{symbol} · (1 + 0.6 · √({{φ}})) / ((1 − {{φ}})^1.25 + {{φ}} · {symbol} / {{Gf}})"
    return derived(one.name, "G12°", formula, found.g12.number, "GPa", _phi(one), gm, gf)


def _mats(found: list[Estimated]) -> Iterator[Line]:
    moduli = [random_mat_constants(np.asarray(one.e1.number), np.asarray(one.e2.number)) for one in found]
    e, g = ([Value(symbol, float(m[n]), "GPa") for m in moduli] for n, symbol in enumerate(("E°", "G°")))
    for one, value in zip(found, e, strict=True):
        yield derived(one.of.name, "E°", "3 / 8 · {E1°} + 5 / 8 · {E2°}", value.number, "GPa", one.e1, one.e2)
    for one, value in zip(found, g, strict=True):
        yield derived(one.of.name, "G°", "1 / 8 · {E1°} + 1 / 4 · {E2°}", value.number, "GPa", one.e1, one.e2)
    for one, direct, shear, m in zip(found, e, g, moduli, strict=True):
        yield derived(one.of.name, "ν12", "{E°} / (2 · {G°}) − 1", float(m[2]), "", direct, shear)
    yield from (
        _factored(one, "E1 = E2", value, one.of.ply.e1_pa) for one, value in zip(found, e, strict=True)
    )
    yield from (_factored(one, "G12", value, one.of.ply.g12_pa) for one, value in zip(found, g, strict=True))


def _knocked_down(found: list[Estimated]) -> Iterator[Line]:
    yield from (_factored(one, "E1", one.e1, one.of.ply.e1_pa) for one in found)
    yield from (_factored(one, "E2", one.e2, one.of.ply.e2_pa) for one in found)
    yield from (_factored(one, "G12", one.g12, one.of.ply.g12_pa) for one in found)


def _factored(one: Estimated, symbol: str, of: Value, used_pa: float) -> Line:
    k = Value("k", one.of.fabric.stiffness_factor)
    return derived(one.of.name, symbol, f"{{k}} · {{{of.symbol}}}", used_pa / GPA, "GPa", k, of)


def _reduced(fibrous: list[Fibrous]) -> Iterator[Line]:
    below = " / (1 − {ν12}^2 · {E2} / {E1})"
    for symbol, above in (("Q11", "{E1}"), ("Q22", "{E2}"), ("Q12", "{ν12} · {E2}")):
        for one in fibrous:
            e1, e2 = Value("E1", one.ply.e1_pa / GPA, "GPa"), Value("E2", one.ply.e2_pa / GPA, "GPa")
            nu = Value("ν12", one.ply.nu12)
            first = {"Q11": e1.number, "Q22": e2.number, "Q12": nu.number * e2.number}[symbol]
            share = 1 - nu.number**2 * e2.number / e1.number
            yield derived(one.name, symbol, above + below, first / share, "GPa", nu, e2, e1)
    for one in fibrous:
        g = Value("G12", one.ply.g12_pa / GPA, "GPa")
        yield derived(one.name, "Q66", "{G12}", g.number, "GPa", g)


def _turned(resolved: Resolved, carrying: list[ResolvedLayer]) -> Iterator[Line]:
    """Q̄ of every different ply as it lies: what the laminate is summed from."""
    told: set[str] = set()
    for layer in carrying:
        fabric = layer.material
        if not isinstance(fabric, Reinforcement):
            continue
        names = [lies(resolved, layer, one) for one in layer.plies.sub_plies]
        for name, one in zip(names, layer.plies.sub_plies, strict=True):
            if name not in told:
                told.add(name)
                q = reduced_stiffness(*(np.asarray(v) for v in (one.e1_pa, one.e2_pa, one.g12_pa, one.nu12)))
                turned = q if one.random else rotated_stiffness(q, np.asarray(one.angle_rad))
                yield Line(name, rows(turned / GPA), "GPa", "Q̄")
        woven = told_as(layer, resolved)
        if fabric.woven and (key := f"{woven} at {degrees(layer.layer.angle_deg)}, woven") not in told:
            told.add(key)
            mean = rows(layer.plies.q_bar_pa[0] / GPA)
            yield Line(key, mean, "GPa", "Q̄", "Σ t Q̄ / Σ t over its directions")


def lies(resolved: Resolved, layer: ResolvedLayer, ply: SubPly) -> str:
    """A direction of a layer's fabric with its angle from the zone's x axis."""
    name = told_as(layer, resolved)
    if ply.random:
        return f"{name}, random"
    angle = 90 - (90 - float(np.degrees(ply.angle_rad))) % 180
    return f"{name} at {degrees(angle)}"


def degrees(angle_deg: float) -> str:
    """`−45°`."""
    return f"{round(angle_deg, 6):g}°".replace("-", "−")


def _core_lines(carrying: list[ResolvedLayer]) -> Iterator[Line]:
    told: set[tuple[str, float]] = set()
    for layer in carrying:
        core, turn = layer.material, layer.layer.angle_deg
        if isinstance(core, Core) and (layer.layer.material, turn) not in told:
            told.add((layer.layer.material, turn))
            yield from _core_stiffness(layer, core)


def _core_stiffness(layer: ResolvedLayer, core: Core) -> Iterator[Line]:
    name = layer.layer.material
    if core.e_inplane_mpa:
        e, nu = Value("E", core.e_inplane_mpa, "MPa"), Value("ν", core.nu)
        q = layer.plies.q_bar_pa[0] / MPA
        yield derived(f"{name}, in its plane", "Q11 = Q22", "{E} / (1 − {ν}^2)", float(q[0, 0]), "MPa", e, nu)
        yield derived(f"{name}, in its plane", "Q12", "{ν} · {E} / (1 − {ν}^2)", float(q[0, 1]), "MPa", e, nu)
        yield derived(f"{name}, in its plane", "Q66", "{E} / (2 · (1 + {ν}))", float(q[2, 2]), "MPa", e, nu)
    gx, gy = (float(g) / MPA for g in layer.plies.g_pa[0])
    if core.g_l_mpa is None or core.g_w_mpa is None or core.g_mpa is not None:
        stated = Value("G", gx, "MPa")
        yield derived(f"{name}, across its thickness", "Gx = Gy", "{G}", gx, "MPa", stated)
        return
    strong, weak = Value("Gl", core.g_l_mpa, "MPa"), Value("Gw", core.g_w_mpa, "MPa")
    c = Value("c", float(np.cos(np.radians(layer.layer.angle_deg))))
    s = Value("s", float(np.sin(np.radians(layer.layer.angle_deg))))
    what = f"{name}, across its thickness, c and s of {degrees(layer.layer.angle_deg)}"
    along, across = "{Gl} · {c}^2 + {Gw} · {s}^2", "{Gl} · {s}^2 + {Gw} · {c}^2"
    yield derived(what, "Gx", along, gx, "MPa", strong, weak, c, s)
    yield derived(what, "Gy", across, gy, "MPa", strong, weak, c, s)
