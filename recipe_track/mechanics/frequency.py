"""First natural frequency of rectangular panels, in air and with water against them."""

from functools import lru_cache

import numpy as np

from recipe_track.mechanics import ritz
from recipe_track.mechanics.arrays import BoolArray, FloatArray
from recipe_track.mechanics.fineness import frequency_kinds, kind_of
from recipe_track.mechanics.plate import Plates, energy_of

SEA_WATER_KG_M3 = 1025.0
CHUNK_NUMBERS = 2_000_000


def natural_frequency(
    d_star: FloatArray,
    s_x: FloatArray,
    s_y: FloatArray,
    length_x_m: FloatArray,
    length_y_m: FloatArray,
    clamped: BoolArray,
    mass_kg_m2: FloatArray,
) -> FloatArray:
    """First natural frequency of panels, clamped or hard simply supported on all four sides.

    The plate of `panel.panel_response`, shear deformation in, rotary inertia out: that would lower it by less
    than shear does. No eigenvalue problem of many unknowns is solved: the shape under an even
    pressure and that under the mass times the lowest bubble stand for the first mode. Never below the plate's
    own; within 0.1 % of it, within 0.5 % where bending and twist are strongly coupled, at any length.

    Parameters
    ----------
    d_star : (n, 3, 3)
        Bending stiffness about the neutral surface. [N·m]
    s_x, s_y : (n,)
        Transverse shear stiffness. [N/m]
    length_x_m, length_y_m : (n,)
        Sides along the zone's x and y. [m]
    clamped : (n,)
    mass_kg_m2 : (n,)
        All that moves with the panel, above 0. [kg/m²]

    Returns
    -------
    (n,)
        Of a linear panel in air; nan where a panel carries nothing. [Hz]

    References
    ----------
    Rayleigh's quotient in two unknowns (W. Ritz, 1909); checked against A. W. Leissa's table, 1973, and
    closed forms in the tests.
    """
    none, found = np.full(len(s_x), np.nan), np.full(len(s_x), np.nan)
    plates = Plates(d_star, s_x, s_y, length_x_m, length_y_m, none, none, none)
    carries = (d_star[:, 0, 0] > 0) & (s_x > 0) & (s_y > 0)
    kinds = frequency_kinds(plates.take(np.flatnonzero(carries)), clamped[carries])
    for row in np.unique(kinds, axis=0):
        basis = kind_of(row).basis
        members = np.flatnonzero(carries)[(kinds == row).all(axis=1)]
        pieces = len(members) * (basis.count_x * basis.count_y) ** 2 // CHUNK_NUMBERS + 1
        for piece in np.array_split(members, pieces):
            found[piece] = _rate(plates.take(piece), basis) / np.sqrt(mass_kg_m2[piece]) / (2 * np.pi)
    return found


def added_water_mass(
    length_x_m: FloatArray, length_y_m: FloatArray, density_kg_m3: float = SEA_WATER_KG_M3
) -> FloatArray:
    """Mass of water that moves with a panel, for each of its sides that is wet: an estimate.

    Parameters
    ----------
    length_x_m, length_y_m : (...)
        Sides a, b of the panel. [m]
    density_kg_m3 : float
        Of the water. [kg/m³]

    Returns
    -------
    (...)
        ρ/(π √(1/a² + 1/b²)), that of an endless plate bent in sine waves of these half lengths with deep
        water against one side. [kg/m²]

    References
    ----------
    H. Lamb, Hydrodynamics: waves of the length 2π/k move a layer of water 1/k thick (from memory).
    """
    return np.asarray(density_kg_m3 / (np.pi * np.hypot(1 / length_x_m, 1 / length_y_m)))


def _rate(plates: Plates, basis: ritz.Basis) -> FloatArray:
    """ω of plates that weigh 1 kg/m². (n,)"""
    tables, mass = ritz.tables(basis), _mass(basis)
    area = (plates.length_x_m * plates.length_y_m / 4)[:, None]
    loads = np.stack([tables.load, mass[_lowest(basis)]], axis=-1)
    shapes = np.linalg.solve(energy_of(plates, tables), np.broadcast_to(loads, (len(area), *loads.shape)))
    stiff = np.swapaxes(shapes, 1, 2) @ loads
    heavy = np.swapaxes(shapes, 1, 2) @ (mass @ shapes) * area[..., None]
    return np.sqrt(_least_root(stiff, heavy))


def _least_root(stiff: FloatArray, heavy: FloatArray) -> FloatArray:
    """Least λ of K v = λ M v, two by two: the second vector first made orthogonal to the first. (n,)"""
    share = heavy[:, 0, 1] / heavy[:, 0, 0]
    mixed = stiff[:, 0, 1] - share * stiff[:, 0, 0]
    second = stiff[:, 1, 1] - share * (stiff[:, 0, 1] + mixed)
    weight = heavy[:, 1, 1] - share * heavy[:, 0, 1]
    one, two = stiff[:, 0, 0] / heavy[:, 0, 0], second / weight
    cross = mixed**2 / (heavy[:, 0, 0] * weight)
    return np.asarray((one + two) / 2 - np.sqrt(((one - two) / 2) ** 2 + cross))


@lru_cache(maxsize=64)
def _mass(basis: ritz.Basis) -> FloatArray:
    """Integrals of the products of deflections over the square; rotations weigh nothing. (N, N)"""
    free = ritz.tables(basis).free
    points, weights = ritz.gauss(max(basis.count_x, basis.count_y) + 2)
    along_x, along_y = (ritz.values(family, points) for family in (free.along_x, free.along_y))
    deflects = (free.field == ritz.W)[:, None] & (free.field == ritz.W)
    return np.asarray(deflects * (along_x * weights @ along_x.T) * (along_y * weights @ along_y.T))


def _lowest(basis: ritz.Basis) -> int:
    """The deflection that is the lowest bubble along both sides."""
    free = ritz.tables(basis).free
    degrees = (free.along_x[:, 3:] != 0).any(axis=1) | (free.along_y[:, 3:] != 0).any(axis=1)
    odd = ritz.parity(free.along_x) == 1
    return int(np.flatnonzero((free.field == ritz.W) & ~degrees & ~odd)[0])
