"""Panels and shear stiffness against series and closed forms summed here, with scipy and sympy."""

from itertools import pairwise

import numpy as np
import pytest
import sympy
from scipy.integrate import quad

from recipe_track.mechanics.corner import convergence_power, decay_length
from recipe_track.mechanics.panel import PanelResponse, panel_response
from recipe_track.mechanics.shear import peak_shear_flow, transverse_shear_stiffness


def isotropic(bending: float, nu: float = 0.3) -> np.ndarray:
    return bending * np.array([[1, nu, 0], [nu, 1, 0], [0, 0, (1 - nu) / 2]])


def respond(d, s_x, s_y, sides, clamped=False, pressure=1.0, force=np.nan, patch=0.1) -> PanelResponse:  # type: ignore[no-untyped-def]
    values = (np.array([value], dtype=float) for value in (s_x, s_y, *sides))
    loads = (np.array([value], dtype=float) for value in (pressure, force, patch))
    return panel_response(np.array([d]), *values, np.array([clamped]), *loads)


def navier(d, s_x, s_y, sides, patch=None, terms=199):  # type: ignore[no-untyped-def]
    """Deflection at the centre, Qx and Qy at the mid-edges of a supported plate without coupling.

    Double sine series of the three equations of the first-order plate, J. N. Reddy, 2004 (from memory).
    """
    odd = np.arange(1, terms + 1, 2)
    a, b = np.pi * odd[:, None] / sides[0], np.pi * odd[None, :] / sides[1]
    sign = (-1.0) ** ((odd[:, None] - 1) // 2 + (odd[None, :] - 1) // 2)
    load = 16 / (np.pi**2 * odd[:, None] * odd[None, :])
    if patch is not None:
        width, depth = (min(patch, side) for side in sides)
        load = 4 / np.prod(sides) * sign * np.sinc(a * width / 2 / np.pi) * np.sinc(b * depth / 2 / np.pi)
    h11, h22 = d[0, 0] * a**2 + d[2, 2] * b**2 + s_x, d[2, 2] * a**2 + d[1, 1] * b**2 + s_y
    h12 = (d[0, 1] + d[2, 2]) * a * b
    determinant = h11 * h22 - h12**2
    turn_x = -(h22 * s_x * a - h12 * s_y * b) / determinant
    turn_y = -(h11 * s_y * b - h12 * s_x * a) / determinant
    w = load / (s_x * a * (a + turn_x) + s_y * b * (b + turn_y))
    along_x, along_y = (-1.0) ** ((odd[:, None] - 1) // 2), (-1.0) ** ((odd[None, :] - 1) // 2)
    edges = (s_x * (w * (a + turn_x) * along_y).sum(), s_y * (w * (b + turn_y) * along_x).sum())
    return float((w * sign).sum()), edges


ORTHOTROPIC = np.array([[900.0, 60.0, 0.0], [60.0, 250.0, 0.0], [0.0, 0.0, 110.0]])


@pytest.mark.parametrize("sides", [(0.5, 0.5), (0.4, 0.9), (1.6, 0.5), (5.0, 0.5), (0.5, 8.0)])
@pytest.mark.parametrize("shear", [(4e5, 1.5e5), (3e7, 3e7), (2e4, 8e4)])
def test_a_supported_panel_is_naviers(sides: tuple[float, float], shear: tuple[float, float]) -> None:
    found = respond(ORTHOTROPIC, *shear, sides)
    deflection, edges = navier(ORTHOTROPIC, *shear, sides, terms=1999 if max(sides) > 2 else 799)
    assert found.deflection_m == pytest.approx([deflection], rel=0.005)
    assert found.edge_shear_n_per_m[0].max() == pytest.approx(max(edges), rel=0.02)


@pytest.mark.parametrize("patch", [0.02, 0.08, 0.3, 2.0])
@pytest.mark.parametrize("sides", [(0.5, 0.5), (0.4, 0.9), (3.0, 0.5)])
def test_a_supported_panel_under_a_foot_is_naviers(sides: tuple[float, float], patch: float) -> None:
    shear = (4e5, 1.5e5)
    found = respond(ORTHOTROPIC, *shear, sides, force=1.0, patch=patch)
    expected, _ = navier(ORTHOTROPIC, *shear, sides, patch, 2999 if patch < 0.05 else 1499)
    assert found.patch_deflection_m == pytest.approx([expected], rel=0.005)


def test_a_long_panel_is_a_strip() -> None:
    """Beams of unit width under a uniform load: q L⁴/(384 D) clamped, 5 q L⁴/(384 D) supported, q L²/(8 S) more."""
    d, s, span = isotropic(800.0), 2e5, 0.4
    for clamped, bending in ((True, 1 / 384), (False, 5 / 384)):
        strip = bending * span**4 / 800 + span**2 / (8 * s)
        for length in (6.0, 60.0):
            assert respond(d, s, s, (length, span), clamped).deflection_m == pytest.approx([strip], rel=0.005)
            assert respond(d, s, s, (span, length), clamped).deflection_m == pytest.approx([strip], rel=0.005)
    assert respond(d, s, s, (6.0, span), True).edge_shear_n_per_m[0, 1] == pytest.approx(span / 2, rel=0.02)


def test_a_panel_that_only_shears_is_a_stretched_membrane() -> None:
    """Saint-Venant's series for torsion of a rectangle: 0.0736713 q a²/S in the middle of a square."""
    found = respond(isotropic(1e9), 1e3, 1e3, (1.0, 1.0))
    n = np.arange(1, 400, 2)
    series = (
        4
        / np.pi**3
        * (np.sin(n * np.pi / 2) / n**3 * (1 - 1 / np.cosh(np.minimum(n * np.pi / 2, 300)))).sum()
    )
    assert found.deflection_m * 1e3 == pytest.approx([series], rel=1e-3)


def test_shear_stiffness_is_the_energy_of_the_flow() -> None:
    """The flow integrated numerically from the stresses of bending, ply by ply."""
    e, g = np.array([12e9, 3e9, 60e6, 20e9]), np.array([3e9, 1e9, 25e6, 4e9])
    t = np.array([0.002, 0.001, 0.015, 0.0025])
    z = np.concatenate([[0.0], np.cumsum(t)])

    def modulus(height: float) -> float:
        return float(e[min(np.searchsorted(z, height, side="right") - 1, 3)])

    def over(function, low: float, high: float) -> float:  # type: ignore[no-untyped-def]
        inner = [edge for edge in z if low < edge < high]
        bounds = [low, *inner, high]
        return sum(quad(function, a, b, epsabs=0, epsrel=1e-10)[0] for a, b in pairwise(bounds))

    axis = over(lambda h: modulus(h) * h, 0, z[-1]) / over(modulus, 0, z[-1])
    ei = over(lambda h: modulus(h) * (h - axis) ** 2, 0, z[-1])

    def flow(height: float) -> float:
        return over(lambda h: modulus(h) * (h - axis), 0.0, height) / ei

    energy = sum(
        quad(lambda h: flow(h) ** 2, a, b, epsrel=1e-8)[0] / shear
        for a, b, shear in zip(z, z[1:], g, strict=False)
    )
    assert transverse_shear_stiffness(e, g, t) == pytest.approx(1 / energy, rel=1e-6)
    peaks = [max(abs(flow(h)) for h in np.linspace(a, b, 41)) for a, b in pairwise(z)]
    assert peak_shear_flow(e, t) == pytest.approx(peaks, rel=1e-3)


def test_shear_stiffness_of_three_plies_in_symbols() -> None:
    """Symmetric sandwich, core with stiffness: the flow's energy integrated by sympy."""
    z = sympy.symbols("z")
    face, core, g_face, g_core, t, c = 70, 2, 26, sympy.Rational(1, 10), sympy.Rational(1, 5), 4
    half, top = sympy.Rational(c, 2), sympy.Rational(c, 2) + t
    ei = sympy.integrate(2 * core * z**2, (z, 0, half)) + sympy.integrate(2 * face * z**2, (z, half, top))
    in_face = sympy.integrate(face * z, (z, z, top)) / ei
    in_core = (face * (top**2 - half**2) / 2 + sympy.integrate(core * z, (z, z, half))) / ei
    energy = 2 * sympy.integrate(in_face**2 / g_face, (z, half, top)) + 2 * sympy.integrate(
        in_core**2 / g_core, (z, 0, half)
    )
    found = transverse_shear_stiffness(
        np.array([70.0, 2.0, 70.0]), np.array([26.0, 0.1, 26.0]), np.array([0.2, 4.0, 0.2])
    )
    assert found == pytest.approx(float(1 / energy), rel=1e-12)


def test_ends_of_an_orthotropic_strip_are_felt_as_far_as_the_quartic_says() -> None:
    d11, h, d22 = 9.0, 2.0, 4.0
    d = np.array([[d11, 0.5, 0.0], [0.5, d22, 0.0], [0.0, 0.0, (h - 0.5) / 2]])
    x = sympy.symbols("x")
    slowest = min(abs(sympy.im(root)) for root in sympy.Poly(d11 * x**4 + 2 * h * x**2 + d22, x).nroots())
    assert decay_length(d[None]) == pytest.approx([1 / float(slowest)])
    assert decay_length(isotropic(5.0)[None]) == pytest.approx([1.0], rel=1e-6)


@pytest.mark.parametrize("skew_deg", [5.0, -17.0, 38.0, -38.0, 52.0, -52.0])
@pytest.mark.parametrize("stretch", [1.0, 2.0])
def test_a_corner_is_as_sharp_as_that_of_the_skew_plate_it_is_mapped_to(
    skew_deg: float, stretch: float
) -> None:
    """A stretched isotropic plate: an isotropic corner of the angle ω has λ = π/ω (M. L. Williams, 1952).

    X = x + y tan β, Y = y takes the right angle between x and y to 90° − β and 90° + β; what bends the
    isotropic plate in X and Y gives D in x and y. Stretching y on top of it changes no corner.
    """
    t = np.tan(np.radians(skew_deg))
    bend = np.array([[1, 0, 0], [t * t, 1, -t], [-2 * t, 0, 1]]) @ np.diag([1, stretch**2, stretch])
    omega = np.pi / 2 + np.radians(abs(skew_deg))
    found = convergence_power((bend.T @ isotropic(1.0) @ bend)[None])
    assert found == pytest.approx([4 * (np.pi / omega - 1)], abs=2e-3)


def test_a_corner_without_coupling_is_no_sharper_than_a_twist() -> None:
    """w = x y is bent nowhere and lifts from both edges as r²."""
    assert convergence_power(np.stack([ORTHOTROPIC, ORTHOTROPIC * 3])) == pytest.approx([4.0, 4.0], abs=1e-6)
