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
from recipe_track.mechanics.arrays import FloatArray, IntArray, SingleArray

_WAVES = 24
"""Whole waves along either side; what is left out decays with their fourth power."""
_SHEAR_WAVES = 200
_AT_ONCE = 24


@dataclass(frozen=True, slots=True)
class Periodic:
    """Periodic plates under a unit force and what their edges ask of the rest.

    centre (n,): deflection at the centre less what the lifts take back there [m/N]; lift (n, lift): the
    negative of the edge values, one per function of `ritz.Tables.lifts`; edge_moment (n, N): virtual work of
    the bending moments on edges that are free to turn, 0 where edges are clamped; waves: the plate itself.
    """

    centre: FloatArray
    lift: FloatArray
    edge_moment: FloatArray
    waves: "Folded"


@dataclass(frozen=True, slots=True)
class Folded:
    """Waves with those of +ky and −ky put together, which share their factors along y; seven digits.

    Wave numbers k_x (n, wave, 1) and k_y (n, 1, wave); sums and differences (n, 2, wave, wave) of both
    rotations and of what w has over that of a plate that shears alone.
    """

    k_x: SingleArray
    k_y: SingleArray
    turn_x: SingleArray
    turn_y: SingleArray
    over: SingleArray


@dataclass(frozen=True, slots=True)
class Waves:
    """Fourier coefficients of w, φx, φy under a unit force, with the wave numbers. (n, along x, along y)

    w is the sum of w cos(kx x + ky y), a rotation φ that of φ sin(kx x + ky y); `shear` is w of a plate that
    shears alone.
    """

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
    # a few plates at a time, whose many arrays of waves stay in the processor's memory
    given = d_star, s_x, s_y, length_x_m, length_y_m, side_m
    lots = [slice(at, at + _AT_ONCE) for at in range(0, len(s_x), _AT_ONCE)]
    pieces = [_periodic(basis, *(of[lot] for of in given)) for lot in lots]
    parts = ([getattr(piece, name) for piece in pieces] for name in ("centre", "lift", "edge_moment"))
    centre, lift, work = (np.concatenate(part) for part in parts)
    return Periodic(centre, lift, work, joined([piece.waves for piece in pieces]))


def _periodic(
    basis: ritz.Basis,
    d_star: FloatArray,
    s_x: FloatArray,
    s_y: FloatArray,
    length_x_m: FloatArray,
    length_y_m: FloatArray,
    side_m: FloatArray,
) -> Periodic:
    width_x, width_y = np.minimum(side_m, length_x_m), np.minimum(side_m, length_y_m)
    waves = patch_waves(d_star, s_x, s_y, length_x_m, length_y_m, side_m)
    dip = (waves.w - waves.shear).sum(axis=(1, 2))
    dip += _shear_dip(s_x, s_y, length_x_m, length_y_m, width_x, width_y)
    tables = _edge_tables(basis)
    taken_back, lift = _edge_values(waves, tables, basis.clamped)
    work = np.zeros((len(s_x), 1))
    if not basis.clamped:
        work = _edge_work(d_star, length_x_m, length_y_m, waves, tables)
    return Periodic(dip - taken_back, lift, work, folded(waves))


def folded(waves: Waves) -> Folded:
    """Waves of +ky and −ky put together."""
    most = waves.w.shape[1] - 1
    k_x, k_y = waves.k_x.astype(np.float32), waves.k_y[..., most:].astype(np.float32)
    return Folded(k_x, k_y, *(_fold(of) for of in (waves.phi_x, waves.phi_y, waves.w - waves.shear)))


def _fold(wave: FloatArray) -> SingleArray:
    most = wave.shape[1] - 1
    up, down = wave[..., most:].astype(np.float32), wave[..., most::-1].astype(np.float32)
    together = up + down
    together[..., 0] /= 2
    return np.stack([together, up - down], axis=1)


def joined(pieces: list[Folded]) -> Folded:
    """The waves of several lots of plates as those of one."""
    if len(pieces) == 1:
        return pieces[0]
    parts = ([getattr(piece, name) for piece in pieces] for name in Folded.__slots__)
    return Folded(*(np.concatenate(part) for part in parts))


def patch_waves(
    d_star: FloatArray,
    s_x: FloatArray,
    s_y: FloatArray,
    length_x_m: FloatArray,
    length_y_m: FloatArray,
    side_m: FloatArray,
    most: int = _WAVES,
) -> Waves:
    """The waves of `periodic_plate`, `most` of them along either side."""
    m, n = wave_numbers(most)
    along_x = np.sinc(m * np.minimum(side_m / length_x_m, 1)[:, None]) * np.where(m == 0, 1, 2)
    along_y = np.sinc(n * np.minimum(side_m / length_y_m, 1)[:, None])
    force = along_x[:, :, None] * along_y[:, None] / (length_x_m * length_y_m)[:, None, None]
    force[:, 0, most] = 0  # the mean is left to Ritz
    return plate_waves(d_star, s_x, s_y, length_x_m, length_y_m, force)


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


def wave_numbers(most: int = _WAVES) -> tuple[IntArray, IntArray]:
    """Waves along x and along y; those along −x are the same as along x and −y, and counted twice instead."""
    return np.arange(most + 1), np.arange(-most, most + 1)


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
    w = force / (kᵀ H (H + S)⁻¹ S k) = force |H + S| / (|H| kᵀ S k + |S| kᵀ H k).

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
    most = force.shape[1] - 1
    m, n = wave_numbers(most)
    k_x = (2 * np.pi / length_x_m)[:, None, None] * m[:, None]
    k_y = (2 * np.pi / length_y_m)[:, None, None] * n
    d, shear_x, shear_y = d_star[:, :, :, None, None], s_x[:, None, None], s_y[:, None, None]
    xx, xy, yy = k_x * k_x, k_x * k_y, k_y * k_y
    h_xx = xx * d[:, 0, 0] + 2 * d[:, 0, 2] * xy + yy * d[:, 2, 2]
    h_yy = xx * d[:, 2, 2] + 2 * d[:, 1, 2] * xy + yy * d[:, 1, 1]
    h_xy = xx * d[:, 0, 2] + (d[:, 0, 1] + d[:, 2, 2]) * xy + yy * d[:, 1, 2]
    shear = xx * shear_x + yy * shear_y
    bending = h_xx * xx + h_yy * yy + 2 * h_xy * xy
    determinant = h_xx * h_yy - h_xy * h_xy
    stiff = determinant * shear + shear_x * shear_y * bending
    stiff[:, 0, most] = shear[:, 0, most] = 1
    per = force / stiff
    h_xx += shear_x
    h_yy += shear_y
    w = (h_xx * h_yy - h_xy * h_xy) * per
    turn_x = (h_yy * (shear_x * k_x) - h_xy * (shear_y * k_y)) * per
    turn_y = (h_xx * (shear_y * k_y) - h_xy * (shear_x * k_x)) * per
    return Waves(k_x, k_y, w, turn_x, turn_y, force / shear)


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


def shear_alone(
    stiffness_n_per_m: tuple[FloatArray, FloatArray],
    sides_m: tuple[FloatArray, FloatArray, FloatArray, FloatArray],
    x: FloatArray,
    y: FloatArray,
    most: int,
) -> SingleArray:
    """Transverse forces of periodic plates that only shear, under a unit force on a patch in their middle.

    Parameters
    ----------
    stiffness_n_per_m : (n,) each
        Shear stiffness along x and y. [N/m]
    sides_m : (n,) each
        Sides of the plate and of the patch, along x and y each. [m]
    x, y : (n, along x), (n, along y)
        Places, in half sides of the plate from its middle.
    most : int
        How many waves are added up.

    Returns
    -------
    (n, 2, along x, along y)
        Qx and Qy for a force of 1 N. [N/m]

    References
    ----------
    A string on an elastic bed for every wave across it (own derivation); each force from the waves across its
    own direction, along which the sum is closed, so that it converges at the edge of the patch, too.
    """
    (s_x, s_y), (length_x, length_y, width_x, width_y) = stiffness_n_per_m, sides_m
    q_x = _string_force(s_x / s_y, length_x, length_y, width_x, width_y, x, y, most)
    q_y = _string_force(s_y / s_x, length_y, length_x, width_y, width_x, y, x, most)
    return np.stack([q_x, np.swapaxes(q_y, 1, 2)], axis=1)


def _string_force(
    ratio: FloatArray,
    length: FloatArray,
    across: FloatArray,
    width: FloatArray,
    width_across: FloatArray,
    u: FloatArray,
    v: FloatArray,
    most: int,
) -> SingleArray:
    """Force along u of the shearing plate; `ratio` is its stiffness along over that across. (n, u, v)"""
    waves = np.arange(1, most + 1)
    k = 2 * np.pi * waves / across[:, None]
    each = -np.sinc(waves * (width_across / across)[:, None]) * np.sqrt(ratio)[:, None] / k
    each /= (width * across)[:, None] * (1 - np.exp(-k / np.sqrt(ratio)[:, None] * length[:, None]))
    at, half, edge = np.abs(u) * (length / 2)[:, None], (length / 2)[:, None], (width / 2)[:, None]
    even = at / (length * across)[:, None] - np.minimum(at / (2 * edge), 0.5) / across[:, None]
    bed = (-k / np.sqrt(ratio)[:, None])[:, None].astype(np.float32)
    from_edge, inner, outer = (
        reach[..., None].astype(np.float32)
        for reach in (np.abs(at - edge), 2 * np.minimum(at, edge), 2 * (half - np.maximum(at, edge)))
    )
    profile = np.exp(bed * from_edge) * (1 - np.exp(bed * inner)) * (1 - np.exp(bed * outer))
    profile *= each[:, None].astype(np.float32)
    waved = profile @ np.cos((np.pi * waves).astype(np.float32)[:, None] * v[:, None].astype(np.float32))
    return np.asarray(np.sign(u)[..., None] * (waved + even[..., None]), dtype=np.float32)


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
