"""Plates solved: the energy of each is put together from tables of integrals and made stationary."""

from dataclasses import dataclass

import numpy as np

from recipe_track.mechanics import ritz
from recipe_track.mechanics.arrays import FloatArray, IntArray
from recipe_track.mechanics.patch import Periodic, periodic_plate


@dataclass(frozen=True, slots=True)
class Plates:
    """Rectangular plates: D* (n, 3, 3) [N·m], shear stiffness (n,) [N/m], sides (n,) [m], loads (n,).

    The pressure is in Pa; the force in N on a centred square of `side_m`, nan where there is none.
    """

    d_star: FloatArray
    s_x: FloatArray
    s_y: FloatArray
    length_x_m: FloatArray
    length_y_m: FloatArray
    pressure_pa: FloatArray
    force_n: FloatArray
    side_m: FloatArray

    def take(self, chosen: IntArray) -> "Plates":
        """Some of the plates."""
        return Plates(*(getattr(self, name)[chosen] for name in self.__slots__))


@dataclass(frozen=True, slots=True)
class Solution:
    """Deflections (n,) [m], curvatures (n, place, 3) [1/m], mid-edge shear (n, 2) [N/m] of plates.

    The places are the centre and the middles of the edges x−, x+, y−, y+. All but `patch_deflection_m` are
    those of the uniform pressure.
    """

    deflection_m: FloatArray
    patch_deflection_m: FloatArray
    curvature_per_m: FloatArray
    edge_shear_n_per_m: FloatArray


def solve(plates: Plates, basis: ritz.Basis, with_patch: bool) -> Solution:
    """Ritz solution of first-order shear-deformation plates.

    Parameters
    ----------
    plates : Plates
        All with the same kind of edges.
    basis : ritz.Basis
        Clamped: w = φx = φy = 0 on the edges; else hard simple supports: w and the rotation along the edge 0.
    with_patch : bool
        Whether the patch deflection is wanted; it is nan otherwise.

    Returns
    -------
    Solution

    References
    ----------
    J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed., 2004, first-order theory and
    Ritz method (from memory).
    """
    tables = ritz.tables(basis)
    weights = energy_weights(plates)
    pressed = (plates.pressure_pa * plates.length_x_m * plates.length_y_m / 4)[:, None]
    loads, dip = [pressed * tables.load], np.full(len(pressed), np.nan)
    if with_patch:
        patch = _periodic(plates, basis)
        loads.append(_rest_of_patch(tables, weights, patch))
        dip = patch.centre
    count = len(tables.load)
    matrix = (weights @ tables.stiffness.reshape(-1, count * count)).reshape(-1, count, count)
    answer = np.linalg.solve(matrix, np.stack(loads, axis=-1))
    field, rest = np.asarray(answer[..., 0], dtype=np.float64), answer[..., -1]
    work = np.einsum("nt,tru,nu->nr", weights, tables.probes, field, optimize=True)
    edge_length = np.stack([plates.length_y_m] * 2 + [plates.length_x_m] * 2, axis=-1)
    edge = np.asarray((work - pressed * tables.probe_load) / edge_length)
    return Solution(
        field @ tables.centre,
        plates.force_n * (dip + rest @ tables.centre),
        _curvatures(plates, tables, field, edge),
        np.abs(edge[:, [0, 2]]),
    )


def _periodic(plates: Plates, basis: ritz.Basis) -> Periodic:
    sides = plates.length_x_m, plates.length_y_m
    return periodic_plate(plates.d_star, plates.s_x, plates.s_y, *sides, plates.side_m, basis)


def energy_weights(plates: Plates) -> FloatArray:
    """What each term of the energy counts in each plate: a stiffness over half sides.

    Parameters
    ----------
    plates : Plates
        Whatever their edges.

    Returns
    -------
    (n, term)
        In the order of `ritz.terms`: times `ritz.Tables.stiffness`, summed over the terms, it is the
        stiffness of a plate in the unknowns of its basis.
    """
    half_x, half_y = plates.length_x_m / 2, plates.length_y_m / 2
    whole = np.zeros((len(half_x), 5, 5))
    whole[:, :3, :3] = plates.d_star
    whole[:, 3, 3], whole[:, 4, 4] = plates.s_x, plates.s_y
    per = (np.ones(len(half_x)), 1 / half_x, 1 / half_y)
    weights = [whole[:, row, column] * per[a[1]] * per[b[1]] for row, column, a, b in ritz.terms()]
    return np.stack(weights, axis=-1) * (half_x * half_y)[:, None]


def _rest_of_patch(tables: ritz.Tables, weights: FloatArray, patch: Periodic) -> FloatArray:
    """Load that is left of a unit force once the periodic plate has been taken off. (n, N)

    The periodic plate carries the force less its mean, which stays as a pressure, and does not know the
    edges: what it has there has to be taken back.
    """
    combined = (weights[:, :, None] * patch.lift[:, None, :]).reshape(len(weights), -1)
    taken_back = combined @ tables.lifts.reshape(-1, len(tables.load))
    return np.asarray(tables.load / 4 - taken_back - patch.edge_moment)


def _curvatures(plates: Plates, tables: ritz.Tables, field: FloatArray, edge: FloatArray) -> FloatArray:
    """Curvatures at the centre from the solution, at the mid-edges from the bending moment there. (n, 5, 3)

    No edge turns along itself, which leaves the curvature across it and the twist; the twist is taken from
    the solution. Opposite edges are alike by symmetry.
    """
    half_x, half_y = plates.length_x_m / 2, plates.length_y_m / 2
    parts, twist = field @ tables.curvature.T, field @ tables.twist.T
    twist_x, twist_y = (twist[:, at] / half_y + twist[:, at + 1] / half_x for at in (0, 2))
    d, zero = plates.d_star, np.zeros(len(field))
    bent_x = (edge[:, 1] - d[:, 0, 2] * twist_x) / d[:, 0, 0]
    bent_y = (edge[:, 3] - d[:, 1, 2] * twist_y) / d[:, 1, 1]
    centre = [parts[:, 0] / half_x, parts[:, 1] / half_y, parts[:, 2] / half_y + parts[:, 3] / half_x]
    at_x, at_y = [bent_x, zero, twist_x], [zero, bent_y, twist_y]
    return np.stack([np.stack(place, axis=-1) for place in (centre, at_x, at_x, at_y, at_y)], axis=1)
