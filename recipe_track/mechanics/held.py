"""A panel whose edges are held in their plane: bending and stretch together, with all of A, B and D.

The panels of `panel` are free to stretch, no in-plane force acts anywhere: the soft end. An unsymmetric
laminate between edges that cannot move in their plane is stiffer; a real one lies between. Linear, as the
other: no stretch comes from the deflection.
"""

from functools import lru_cache
from itertools import combinations_with_replacement

import numpy as np

from recipe_track.mechanics import ritz
from recipe_track.mechanics.arrays import FloatArray
from recipe_track.mechanics.laminate import Stiffness

_U, _V = 3, 4
_STRAINS: tuple[tuple[ritz.Part, ...], ...] = (
    ((_U, 1),),
    ((_V, 2),),
    ((_U, 2), (_V, 1)),
    *ritz.STRAINS,
)
_COUNTS = (16, 12)
"""Functions along the longer and the shorter side: to within 0.1 % up to four times as long as wide."""


def held_deflection(
    laminate: Stiffness,
    s_x_n_per_m: float,
    s_y_n_per_m: float,
    length_x_m: float,
    length_y_m: float,
    clamped: bool,
    pressure_pa: float,
) -> float:
    """Deflection at the centre of one panel under even pressure, its edges held in their plane.

    Parameters
    ----------
    laminate : Stiffness
        (3, 3) each, about any plane: where it lies, the edges are held. [N/m, N, N·m]
    s_x_n_per_m, s_y_n_per_m : float
        Transverse shear stiffness, above 0. [N/m]
    length_x_m, length_y_m : float
        Sides along the zone's x and y. [m]
    clamped : bool
        As for `panel.panel_response`; supported edges turn about the plane in which they are held.
    pressure_pa : float
        From the mould side. [Pa]

    Returns
    -------
    float
        Positive towards the bag side. With B = 0 that of the panel. [m]

    References
    ----------
    J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed., 2004, first-order theory and
    Ritz method (from memory).
    """
    long, short = _COUNTS
    counts = (long, short) if length_x_m >= length_y_m else (short, long)
    free, layers = _tables(ritz.Basis(*counts, clamped))
    whole = np.zeros((8, 8))
    whole[:3, :3], whole[:3, 3:6], whole[3:6, :3], whole[3:6, 3:6] = (
        laminate.a, laminate.b, laminate.b, laminate.d,
    )  # fmt: skip
    whole[6, 6], whole[7, 7] = s_x_n_per_m, s_y_n_per_m
    half = (1.0, length_x_m / 2, length_y_m / 2)
    matrix = np.zeros(layers[0][4].shape)
    for row, column, first, second, layer in layers:
        matrix += whole[row, column] / (half[first] * half[second]) * layer
    # unknowns of stretch and of bending differ by orders of magnitude: each is scaled to an energy of 1
    scale = 1 / np.sqrt(np.diag(matrix))
    answer = scale * np.linalg.solve(matrix * scale * scale[:, None], scale * ritz.integral(free))
    return float(pressure_pa * answer @ ritz.at(free, (ritz.W, 0), 0.0, 0.0))


_Layer = tuple[int, int, int, int, FloatArray]


@lru_cache(maxsize=4)
def _tables(basis: ritz.Basis) -> tuple[ritz.Functions, list[_Layer]]:
    """The functions, and per term of the energy: row, column, what is differentiated by, integrals."""
    bent = ritz.tables(basis).free
    x, y = ritz.bubbles(basis.count_x), ritz.bubbles(basis.count_y)
    odd = (ritz.parity(x)[:, None] + ritz.parity(y)) % 2 == 1
    stretched = [ritz.products(field, x, y, odd) for field in (_U, _V)]
    free = ritz.joined(bent, *stretched)
    grams, layers = ritz.grams(free, free), []
    for row, column in combinations_with_replacement(range(8), 2):
        if max(row, column) >= 6 and row != column:
            continue
        for first in _STRAINS[row]:
            for second in _STRAINS[column]:
                layer = ritz.coupled(free, free, first, second, grams)
                layers.append((row, column, first[1], second[1], layer if row == column else layer + layer.T))
    return free, layers
