"""From the plies to A, B and D, strips, transverse shear and D*, worked out."""

from collections.abc import Iterator

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.panel import structural_mm
from recipe_track.figures.stack import Laminates, Stack
from recipe_track.figures.working.lines import Chapter, Grid, Line, Value, derived, rows
from recipe_track.figures.working.plies import degrees, lies
from recipe_track.mechanics.arrays import FloatArray
from recipe_track.mechanics.laminate import inverse, ply_bounds, reduced_bending
from recipe_track.mechanics.shear import peak_shear_flow

CLASSICAL = "classical lamination theory, Jones 1999, ch. 4"
NARROW = "Jones 1999, ch. 4: free to warp, as a narrow strip or coupon; of ±45° skins a panel feels far more"
SHEAR = "complementary energy, Reissner 1945; of sandwiches Zenkert 1995"


def laminate_sections(resolved: Resolved, laminates: Laminates) -> Iterator[Chapter]:
    """The sections of a zone that carries."""
    stack = resolved.stack
    assert stack is not None
    yield Chapter("Plies through the thickness, z from the mid-plane", (), grid=_ply_grid(resolved, stack))
    yield Chapter("Laminate", tuple(_abd_lines(laminates)), CLASSICAL)
    lines = (*_strip_lines(laminates), *_constant_lines(laminates, structural_mm(resolved)))
    yield Chapter("Strips and constants", lines, NARROW)
    shear = [line for axis in (0, 1) for line in _shear_lines(stack, laminates, axis)]
    yield Chapter("Transverse shear", tuple(shear), SHEAR)


def _ply_grid(resolved: Resolved, stack: Stack) -> Grid:
    """Each ply with its place, the greatest shear flow in it and what it adds to the compliance in shear."""
    bounds = (ply_bounds(stack.thickness_m) * 1e3).tolist()
    flows = [values.tolist() for axis in (0, 1) for values in _flows(stack, axis)]
    rows = zip(_names(resolved, stack), bounds[:-1], bounds[1:], *flows, strict=True)
    heads = ("ply", "lies", "z [mm] from", "to", "qx [1/mm]", "∫qx²/G [mm/N]", "qy [1/mm]", "∫qy²/G [mm/N]")
    cells = [
        (str(n), name, low, top, *(value or None for value in shear))
        for n, (name, low, top, *shear) in enumerate(rows, start=1)
    ]
    return Grid(heads, tuple(cells))


def _names(resolved: Resolved, stack: Stack) -> list[str]:
    """What lies where, as in the chapter on the stiffness of plies; the plies of a line follow each other."""
    names, seen = [], [0] * len(resolved.layers)
    for index in stack.layer_of:
        layer = resolved.layers[index]
        sub = layer.plies.sub_plies
        turn = seen[index]
        seen[index] += 1
        if not sub or len(layer.plies.thickness_m) != len(sub):
            woven = f" at {degrees(layer.layer.angle_deg)}, woven" if sub else ""
            names.append(f"{layer.layer.material}{woven}")
        else:
            names.append(lies(resolved, layer, sub[turn % len(sub)]))
    return names


def _flows(stack: Stack, axis: int) -> tuple[FloatArray, FloatArray]:
    """Greatest shear flow [1/mm] and ∫ q²/G dz [mm/N] of each ply."""
    e, g, t = stack.q_bar_pa[:, axis, axis], stack.g_pa[:, axis], stack.thickness_m
    energies = _energies(e, g, t) * 1e3
    peaks = np.where(energies > 0, peak_shear_flow(e, t) * 1e-3, 0.0)
    return peaks, energies


def _abd_lines(laminates: Laminates) -> Iterator[Line]:
    abd = laminates.stiffness
    yield Line("in its plane", rows(abd.a[0] * 1e-3), "N/mm", "A", "Σ Q̄ t")
    yield Line("coupling, z̄ the middle of a ply", rows(abd.b[0]), "N", "B", "Σ Q̄ t z̄")
    yield Line("bending", rows(abd.d[0] * 1e3), "N·mm", "D", "Σ Q̄ (t z̄² + t³/12)")
    d_star = reduced_bending(abd)[0]
    yield Line("free to stretch", rows(d_star * 1e3), "N·mm", "D*", "D − B A⁻¹ B")


def _strip_lines(laminates: Laminates) -> Iterator[Line]:
    abd = laminates.stiffness
    ea_x, ea_y, ei_x, ei_y = laminates.strip[0].tolist()
    bending = inverse(reduced_bending(abd))[0]
    yield Line("bending, of the inverse", rows(bending * 1e-3), "1/(N·mm)", "d", "D*⁻¹")
    yield Line("stretching", rows(_stretching(laminates) * 1e3), "mm/N", "a", "A⁻¹ + A⁻¹ B d B A⁻¹")
    for name, value, k in (("x", ea_x, "a11"), ("y", ea_y, "a22")):
        given = Value(k, 1e3 / value, "mm/N")
        yield derived(
            f"strip along {name}, pulled", f"EA{name}", f"1 / {{{k}}} / 1000", value * 1e-6, "MN/m", given
        )
    for name, value, k in (("x", ei_x, "d11"), ("y", ei_y, "d22")):
        given = Value(k, 1e-3 / value, "1/(N·mm)")
        yield derived(
            f"strip along {name}, bent", f"EI{name}", f"1 / {{{k}}} / 10^6", value * 1e-3, "kN·m²/m", given
        )


def _constant_lines(laminates: Laminates, thickness_mm: float) -> Iterator[Line]:
    """Moduli of the whole stack, as a narrow coupon shows them."""
    stretching, thickness = _stretching(laminates) * 1e3, Value("t", thickness_mm, "mm")
    for n, symbol in enumerate(("Ex", "Ey", "Gxy")):
        k = Value(f"a{n + 1}{n + 1}" if n < 2 else "a66", float(stretching[n, n]), "mm/N")
        modulus = 1e-3 / (k.number * thickness_mm)
        formula = f"1 / {{{k.symbol}}} / {{t}} / 1000"
        yield derived("over the structural thickness", symbol, formula, modulus, "GPa", k, thickness)
    along, across = (Value(f"a1{n + 1}", float(stretching[0, n]), "mm/N") for n in (0, 1))
    yield derived("Poisson", "νxy", "−{a12} / {a11}", -across.number / along.number, "", across, along)


def _stretching(laminates: Laminates) -> FloatArray:
    abd = laminates.stiffness
    a_inverse = inverse(abd.a)
    coupling = a_inverse @ abd.b
    bending = inverse(reduced_bending(abd))
    return np.asarray((a_inverse + coupling @ bending @ np.swapaxes(coupling, -1, -2))[0])


def _shear_lines(stack: Stack, laminates: Laminates, axis: int) -> Iterator[Line]:
    e, t, name = stack.q_bar_pa[:, axis, axis], stack.thickness_m, "xy"[axis]
    bounds = ply_bounds(t)
    middle = (bounds[:-1] + bounds[1:]) / 2
    total, first = float((e * t).sum()), float((e * t * middle).sum())
    z0, k = first / total, f"Q̄{axis + 1}{axis + 1}"
    ei = float((e * (t * (middle - z0) ** 2 + t**3 / 12)).sum())
    zero, one = Value(f"Σ0{name}", total * 1e-6, "kN/mm"), Value(f"Σ1{name}", first * 1e-3, "kN")
    yield Line(f"along {name}", zero.number, zero.unit, zero.symbol, f"Σ {k} t")
    yield Line(f"along {name}", one.number, one.unit, one.symbol, f"Σ {k} t z̄")
    axis_of = f"{{{one.symbol}}} / {{{zero.symbol}}}"
    yield derived(f"along {name}, neutral axis", f"z0{name}", axis_of, z0 * 1e3, "mm", one, zero)
    bent = f"Σ {k} (t (z̄ − z0{name})² + t³/12)"
    yield Line(f"along {name}, cylindrical bending", ei * 1e3, "N·mm", f"EIc{name}", bent)
    total_energy = Value(f"Σ∫{name}", float(_flows(stack, axis)[1].sum()), "mm/N")
    flow = f"∫ {k} (ζ − z0{name}) dζ / EIc{name}"
    yield Line(
        f"along {name}, shear flow from the mould face to z", "in the table above", "", f"q{name}", flow
    )
    energy = f"Σ ∫ q{name}²/G dz"
    yield Line(f"along {name}", total_energy.number, "mm/N", total_energy.symbol, energy)
    stiffness = float(laminates.shear_n_per_m[0, axis]) * 1e-3
    given = f"1 / {{{total_energy.symbol}}}"
    yield derived(f"along {name}, transverse shear", f"S{name}", given, stiffness, "N/mm", total_energy)


def _energies(e: FloatArray, g: FloatArray, t: FloatArray) -> FloatArray:
    """∫ q²/G dz of each ply by three points of Gauss, exact for a flow quadratic in z [m/N]."""
    points, weights = np.polynomial.legendre.leggauss(3)
    bounds = ply_bounds(t)
    middle = (bounds[:-1] + bounds[1:]) / 2
    z0 = (e * t * middle).sum() / (e * t).sum()
    ei = (e * (t * (middle - z0) ** 2 + t**3 / 12)).sum()
    before = np.concatenate([[0.0], np.cumsum(e * t * (middle - z0))])[:-1]
    heights = middle[:, None] + points * t[:, None] / 2
    within = e[:, None] * ((heights - z0) ** 2 - (bounds[:-1, None] - z0) ** 2) / 2
    flow = (before[:, None] + within) / ei
    squared = (flow**2 * weights).sum(axis=1) * t / 2
    return np.asarray(np.divide(squared, g, out=np.zeros_like(squared), where=g > 0))
