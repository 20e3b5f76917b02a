"""From the plies to A, B and D, strips, transverse shear and D*, worked out."""

from collections.abc import Iterator

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.panel import structural_mm
from recipe_track.figures.stack import Laminates, Stack
from recipe_track.figures.working.lines import Chapter, Line, Value, derived, rows
from recipe_track.mechanics.arrays import FloatArray
from recipe_track.mechanics.laminate import inverse, ply_bounds, reduced_bending
from recipe_track.mechanics.shear import peak_shear_flow

CLASSICAL = (
    "classical lamination theory, R. M. Jones, Mechanics of Composite Materials, 1999, ch. 4 (from memory)"
)
SHEAR = "E. Reissner's complementary energy, D. Zenkert, Introduction to Sandwich Construction (from memory)"


def laminate_sections(resolved: Resolved, laminates: Laminates) -> Iterator[Chapter]:
    """The sections of a zone that carries."""
    stack = resolved.stack
    assert stack is not None
    yield Chapter("Plies through the thickness, from the mid-plane", tuple(_ply_lines(resolved, stack)))
    yield Chapter("Laminate", tuple(_abd_lines(laminates)), CLASSICAL)
    lines = (*_strip_lines(laminates), *_constant_lines(laminates, structural_mm(resolved)))
    yield Chapter("Strips along x and y", lines, CLASSICAL)
    for axis, name in enumerate("xy"):
        lines = tuple(_shear_lines(stack, float(laminates.shear_n_per_m[0, axis]), axis, name))
        yield Chapter(f"Transverse shear along {name}", lines, SHEAR)


def _ply_lines(resolved: Resolved, stack: Stack) -> Iterator[Line]:
    bounds = ply_bounds(stack.thickness_m) * 1e3
    for n, index in enumerate(stack.layer_of):
        layer = resolved.layers[index]
        words = f"ply {n + 1}: layer {layer.line} {layer.layer.material}"
        yield Line(words, f"{bounds[n]:.5f} to {bounds[n + 1]:.5f}".replace("-", "−"), "mm", "z")


def _abd_lines(laminates: Laminates) -> Iterator[Line]:
    abd = laminates.stiffness
    yield Line("in its plane", rows(abd.a[0] * 1e-3), "N/mm", "A", "Σ Q̄ t")
    yield Line("coupling", rows(abd.b[0]), "N", "B", "Σ Q̄ t z̄, z̄ the middle of each ply")
    yield Line("bending", rows(abd.d[0] * 1e3), "N·mm", "D", "Σ Q̄ (t z̄² + t³/12)")
    d_star = reduced_bending(abd)[0]
    yield Line("free to stretch", rows(d_star * 1e3), "N·mm", "D*", "D − B A⁻¹ B")


def _strip_lines(laminates: Laminates) -> Iterator[Line]:
    abd = laminates.stiffness
    ea_x, ea_y, ei_x, ei_y = laminates.strip[0].tolist()
    bending = inverse(reduced_bending(abd))[0]
    yield Line("bending part of the inverse of [A B; B D]", rows(bending * 1e-3), "1/(N·mm)", "d", "D*⁻¹")
    yield Line("stretching part", rows(_stretching(laminates) * 1e3), "mm/N", "a", "A⁻¹ + A⁻¹ B d B A⁻¹")
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


def _shear_lines(stack: Stack, stiffness: float, axis: int, name: str) -> Iterator[Line]:
    e, g, t = stack.q_bar_pa[:, axis, axis], stack.g_pa[:, axis], stack.thickness_m
    bounds = ply_bounds(t)
    middle = (bounds[:-1] + bounds[1:]) / 2
    total, first = float((e * t).sum()), float((e * t * middle).sum())
    z0 = first / total
    ei = float((e * (t * (middle - z0) ** 2 + t**3 / 12)).sum())
    k = f"Q̄{axis + 1}{axis + 1}"
    yield derived(
        "neutral axis", "z0", "{Σ1} / {Σ0}", z0 * 1e3, "mm",
        Value("Σ1", first * 1e-3, "kN"), Value("Σ0", total * 1e-6, "kN/mm"),
    )  # fmt: skip
    yield Line("sums for it", f"Σ0 = Σ {k} t, Σ1 = Σ {k} t z̄ over the plies")
    yield Line("cylindrical bending", ei * 1e3, "N·mm", "EI", f"Σ {k} (t (z̄ − z0)² + t³/12)")
    energies = _energies(e, g, t)
    peaks = peak_shear_flow(e, t)
    for n, (energy, peak) in enumerate(zip(energies, peaks, strict=True), start=1):
        if energy > 0:
            yield Line(f"ply {n}: ∫ q²/G dz", energy * 1e3, "mm/N", f"greatest q = {peak * 1e-3:.5g} 1/mm")
    yield derived(
        "transverse shear stiffness", f"S{name}", "1 / {Σ}", stiffness * 1e-3, "N/mm",
        Value("Σ", float(energies.sum()) * 1e3, "mm/N"),
    )  # fmt: skip


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
