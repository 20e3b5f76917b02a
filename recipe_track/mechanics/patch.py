"""A force on a small square: the part of its deflection that polynomials would follow badly, in closed form.

The plate is thought repeated without end in both directions, each repeat with its own patch, and each with
an even counter-pressure, so that the whole is in balance. That periodic plate is solved exactly by a double
Fourier series, whatever its anisotropy. It has the right dip under the patch and is smooth at the edges of
the panel; the rest, which brings the edges to where they belong, is smooth everywhere and left to Ritz.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from recipe_track.mechanics import ritz
from recipe_track.mechanics.arrays import FloatArray, IntArray

_WAVES = 24
"""Whole waves along either side; what is left out decays with their fourth power."""
_SHEAR_WAVES = 200


@dataclass(frozen=True, slots=True)
class Periodic:
    """Periodic plates under a unit force and what their edges ask of the rest.

    centre (n,): deflection at the centre less what the lifts take back there [m/N]; lift (n, lift): the
    negative of the edge values, one per function of `ritz.Tables.lifts`; edge_moment (n, N): virtual work of
    the bending moments on edges that are free to turn, 0 where edges are clamped.
    """

    centre: FloatArray
    lift: FloatArray
    edge_moment: FloatArray


@dataclass(frozen=True, slots=True)
class Waves:
    """Fourier coefficients of w, φx, φy under a unit force, with the wave numbers. (n, along x, along y)"""

    k_x: FloatArray
    k_y: FloatArray
    w: FloatArray
    phi_x: FloatArray
    phi_y: FloatArray
    shear: FloatArray


@dataclass(frozen=True, slots=True)
class _EdgeTables:
    """Integrals of edge functions with waves; `even` (wave, even bubbles) for cosines, `odd` for sines."""

    even_x: FloatArray
    odd_x: FloatArray
    even_y: FloatArray
    odd_y: FloatArray
    centre_x: FloatArray
    centre_y: FloatArray
    moment_x: FloatArray
    moment_y: FloatArray


def periodic_plate(
    d_star: FloatArray,
    s_x: FloatArray,
    s_y: FloatArray,
    length_x_m: FloatArray,
    length_y_m: FloatArray,
    side_m: FloatArray,
    basis: ritz.Basis,
) -> Periodic:
    """Plates that repeat without end, each repeat under a force of 1 N on a square in its middle.

    Parameters
    ----------
    d_star : (n, 3, 3)
        Bending stiffness. [N·m]
    s_x, s_y : (n,)
        Transverse shear stiffness. [N/m]
    length_x_m, length_y_m : (n,)
        Sides of the panel, the period of the repeats. [m]
    side_m : (n,)
        Side of the square; where it is longer than the panel, the panel's side counts. [m]
    basis : ritz.Basis
        Of the Ritz solution that takes care of the rest.

    Returns
    -------
    Periodic

    References
    ----------
    Fourier transform of the equations of a first-order plate, J. N. Reddy, Mechanics of Laminated Composite
    Plates and Shells, 2nd ed., 2004 (from memory); the sum of its shear part over one direction is the
    closed form of a string on an elastic bed.
    """
    m, n = wave_numbers()
    width_x, width_y = np.minimum(side_m, length_x_m), np.minimum(side_m, length_y_m)
    along_x = np.sinc(m * (width_x / length_x_m)[:, None]) * np.where(m == 0, 1, 2)
    along_y = np.sinc(n * (width_y / length_y_m)[:, None])
    force = along_x[:, :, None] * along_y[:, None] / (length_x_m * length_y_m)[:, None, None]
    force[:, 0, _WAVES] = 0  # the mean is left to Ritz
    waves = plate_waves(d_star, s_x, s_y, length_x_m, length_y_m, force)
    dip = (waves.w - waves.shear).sum(axis=(1, 2))
    dip += _shear_dip(s_x, s_y, length_x_m, length_y_m, width_x, width_y)
    tables = _edge_tables(basis)
    taken_back, lift = _edge_values(waves, tables, basis.clamped)
    if basis.clamped:
        return Periodic(dip - taken_back, lift, np.zeros((len(s_x), 1)))
    return Periodic(dip - taken_back, lift, _edge_work(d_star, length_x_m, length_y_m, waves, tables))


def _edge_values(waves: Waves, tables: _EdgeTables, clamped: bool) -> tuple[FloatArray, FloatArray]:
    """What the lifts take back in the centre, and their factors in the order of `ritz.Tables.lifts`."""
    w_x, w_y = _at_x_edge(waves.w), _at_y_edge(waves.w)
    even_y, even_x = w_x @ tables.even_y, w_y @ tables.even_x
    lifts = [even_y, even_x]
    lifts += [_at_x_edge(waves.phi_x) @ tables.odd_y] if clamped else []
    lifts += [_at_y_edge(waves.phi_x) @ tables.odd_x, _at_x_edge(waves.phi_y) @ tables.odd_y]
    lifts += [_at_y_edge(waves.phi_y) @ tables.odd_x] if clamped else []
    corner = w_x @ (-1.0) ** wave_numbers()[1]
    taken_back = corner + even_y @ tables.centre_y + even_x @ tables.centre_x
    return taken_back, -np.concatenate(lifts, axis=1)


def _edge_work(
    d_star: FloatArray, length_x_m: FloatArray, length_y_m: FloatArray, waves: Waves, tables: _EdgeTables
) -> FloatArray:
    """Virtual work of the bending moments on supported edges, in each unknown. (n, N)"""
    twist = waves.k_y * waves.phi_x + waves.k_x * waves.phi_y
    curvature = np.stack([waves.k_x * waves.phi_x, waves.k_y * waves.phi_y, twist], axis=1)
    moment_x = np.einsum("ni,nimk->nmk", d_star[:, 0], curvature)
    moment_y = np.einsum("ni,nimk->nmk", d_star[:, 1], curvature)
    work_x = length_y_m[:, None] * (_at_x_edge(moment_x) @ tables.moment_x)
    return np.asarray(work_x + length_x_m[:, None] * (_at_y_edge(moment_y) @ tables.moment_y))


def _at_x_edge(wave: FloatArray) -> FloatArray:
    """Coefficients along y of what waves add up to at either x edge. (n, waves along y)"""
    return np.asarray(np.einsum("m,nmk->nk", (-1.0) ** wave_numbers()[0], wave))


def _at_y_edge(wave: FloatArray) -> FloatArray:
    """Coefficients along x of what waves add up to at either y edge. (n, waves along x)"""
    return np.asarray(np.einsum("nmk,k->nm", wave, (-1.0) ** wave_numbers()[1]))


def wave_numbers() -> tuple[IntArray, IntArray]:
    """Waves along x and along y; those along −x are the same as along x and −y, and counted twice instead."""
    return np.arange(_WAVES + 1), np.arange(-_WAVES, _WAVES + 1)


def plate_waves(
    d_star: FloatArray,
    s_x: FloatArray,
    s_y: FloatArray,
    length_x_m: FloatArray,
    length_y_m: FloatArray,
    force: FloatArray,
) -> Waves:
    """Each wave of the load bends the plate in the same wave: a small system per wave, solved by hand.

    With k = (kx, ky), H the bending and S the shear stiffness the rotations are (H + S)⁻¹ S k w, and
    w = force / (kᵀ H (H + S)⁻¹ S k).

    Parameters
    ----------
    d_star : (n, 3, 3)
        Bending stiffness. [N·m]
    s_x, s_y : (n,)
        Transverse shear stiffness. [N/m]
    length_x_m, length_y_m : (n,)
        The period along x and along y. [m]
    force : (n, along x, along y)
        Amplitude of the load in each of `wave_numbers`. [N/m²]

    Returns
    -------
    Waves

    References
    ----------
    J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed., 2004, first-order theory
    (from memory).
    """
    m, n = wave_numbers()
    k_x = (2 * np.pi / length_x_m)[:, None, None] * m[:, None]
    k_y = (2 * np.pi / length_y_m)[:, None, None] * n
    d, shear_x, shear_y = d_star[:, :, :, None, None], s_x[:, None, None], s_y[:, None, None]
    xx, xy, yy = k_x * k_x, k_x * k_y, k_y * k_y
    h_xx = xx * d[:, 0, 0] + 2 * xy * d[:, 0, 2] + yy * d[:, 2, 2]
    h_yy = xx * d[:, 2, 2] + 2 * xy * d[:, 1, 2] + yy * d[:, 1, 1]
    h_xy = xx * d[:, 0, 2] + xy * (d[:, 0, 1] + d[:, 2, 2]) + yy * d[:, 1, 2]
    determinant = (h_xx + shear_x) * (h_yy + shear_y) - h_xy**2
    turn_x = ((h_yy + shear_y) * shear_x * k_x - h_xy * shear_y * k_y) / determinant
    turn_y = ((h_xx + shear_x) * shear_y * k_y - h_xy * shear_x * k_x) / determinant
    stiff = k_x * (h_xx * turn_x + h_xy * turn_y) + k_y * (h_xy * turn_x + h_yy * turn_y)
    shear = shear_x * xx + shear_y * yy
    stiff[:, 0, _WAVES] = shear[:, 0, _WAVES] = 1
    w = force / stiff
    return Waves(k_x, k_y, w, turn_x * w, turn_y * w, force / shear)


def _shear_dip(
    s_x: FloatArray,
    s_y: FloatArray,
    length_x_m: FloatArray,
    length_y_m: FloatArray,
    width_x: FloatArray,
    width_y: FloatArray,
) -> FloatArray:
    """Deflection under the middle of the patch of periodic plates that only shear: all waves of it. (n,)"""
    waves = np.arange(1, _SHEAR_WAVES + 1)
    k_y = 2 * np.pi * waves / length_y_m[:, None]
    bed = k_y * np.sqrt(s_y / s_x)[:, None]
    outside = bed * ((length_x_m - width_x) / 2)[:, None]
    # sinh(outside) / sinh(bed · length / 2), written so that neither grows without bound
    whole = bed * (length_x_m / 2)[:, None]
    ratio = np.exp(outside - whole) * np.expm1(-2 * outside) / np.expm1(-2 * whole)
    each = np.sinc(waves * (width_y / length_y_m)[:, None]) * (1 - ratio) / (s_y[:, None] * k_y**2)
    share = width_x / length_x_m
    even = length_x_m * (1 - share) * (2 - share) / (24 * s_x * length_y_m)
    return np.asarray(even + 2 * each.sum(axis=1) / (length_y_m * width_x))


@lru_cache(maxsize=64)
def _edge_tables(basis: ritz.Basis) -> _EdgeTables:
    """Edge integrals of bubbles and of the unknowns with waves."""
    m, n = (np.asarray(np.pi * wave[:, None], dtype=np.float64) for wave in wave_numbers())
    free = ritz.tables(basis).free
    even_x, odd_x, centre_x = _bubble_tables(basis.count_x, m)
    even_y, odd_y, centre_y = _bubble_tables(basis.count_y, n)
    moment_x = np.where(free.field == ritz.PHI_X, _moment_table(free.along_x, free.along_y, n), 0.0)
    moment_y = np.where(free.field == ritz.PHI_Y, _moment_table(free.along_y, free.along_x, m), 0.0)
    return _EdgeTables(even_x, odd_x, even_y, odd_y, centre_x, centre_y, moment_x, moment_y)


def _bubble_tables(count: int, k: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Factors of even bubbles in cosines, of odd ones in sines, and the even ones' values in the middle.

    The slopes of bubbles are orthonormal, so that the integral of both slopes is a bubble's factor.
    """
    points, weights = ritz.gauss(8 * _WAVES)
    family = ritz.bubbles(count)
    slope, odd = ritz.values(ritz.slopes(family), points), ritz.parity(family) == 1
    cosines = -(k * np.sin(k * points) * weights) @ slope[~odd].T
    sines = (k * np.cos(k * points) * weights) @ slope[odd].T
    return cosines, sines, ritz.values(family[~odd], np.zeros(1))[:, 0]


def _moment_table(across: FloatArray, along: FloatArray, k: FloatArray) -> FloatArray:
    """Work of cosines along an edge in functions given across and along it. (wave, function)"""
    points, weights = ritz.gauss(8 * _WAVES)
    at_edge = ritz.values(across, np.ones(1))[:, 0]
    return np.asarray(at_edge * (np.cos(k * points) * weights @ ritz.values(along, points).T))
