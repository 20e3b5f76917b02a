"""Plates solved: the energy of each is put together from tables of integrals and made stationary."""

from dataclasses import dataclass

import numpy as np

from recipe_track.mechanics import ritz
from recipe_track.mechanics.arrays import FloatArray, IntArray
from recipe_track.mechanics.field import Field, Points, Sheet, periodic_field, polynomial_fields
from recipe_track.mechanics.patch import Periodic, folded, patch_waves, periodic_plate


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


_MOST_WAVES = (14, 24)
"""Waves of the periodic plate that are taken over the panel and over the patch, which lies in both."""
_SMALL, _SMALL_WAVES = 0.05, 72


@dataclass(frozen=True, slots=True)
class Looked:
    """Where fields are wanted: of the pressure, and of the patch over the panel and over the patch itself."""

    pressure: Points | None
    patch: tuple[Points, Points] | None = None


@dataclass(frozen=True, slots=True)
class _System:
    """Plates solved: factors of the pressure (n, N), of what the patch leaves per newton, and that patch."""

    tables: ritz.Tables
    weights: FloatArray
    pressed: FloatArray
    factors: FloatArray
    rest: FloatArray
    patch: Periodic | None


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
    return _solution(plates, _system(plates, basis, with_patch))


def solve_fields(
    plates: Plates, basis: ritz.Basis, with_patch: bool, looked: Looked
) -> tuple[Solution, Field | None, Field | None]:
    """The same with the fields of the pressure and of the patch, its grids one after the other.

    Parameters
    ----------
    plates, basis, with_patch
        As for `solve`.
    looked : Looked
        Places in the plates as they are solved; of the patch only where there is one.

    Returns
    -------
    Solution, Field, Field
        None where none is wanted.
    """
    system, sheet = _system(plates, basis, with_patch), _sheet(plates)
    pressed = patched = None
    if looked.pressure is not None:
        pressed = polynomial_fields(sheet, basis, system.factors, None, (looked.pressure,))[0]
    if looked.patch is not None:
        patched = _patch_field(plates, sheet, basis, system, looked.patch)
    return _solution(plates, system), pressed, patched


def _sheet(plates: Plates) -> Sheet:
    return Sheet(plates.s_x, plates.s_y, plates.length_x_m, plates.length_y_m)


def _patch_field(
    plates: Plates, sheet: Sheet, basis: ritz.Basis, system: _System, grids: tuple[Points, Points]
) -> Field:
    """The periodic plate and what brings its edges to where they belong, together, grid after grid."""
    assert system.patch is not None
    rest = polynomial_fields(sheet, basis, system.rest, system.patch.lift, grids)
    waves = [
        periodic_field(sheet, system.patch.waves, most, plates.side_m, points)
        for most, points in zip(_MOST_WAVES, grids, strict=True)
    ]
    small = np.flatnonzero(plates.side_m < _SMALL * np.maximum(plates.length_x_m, plates.length_y_m))
    if len(small):
        _put_small(plates.take(small), waves[1], small, grids[1])
    force = plates.force_n[:, None, None]
    both = [
        Field(w.curvature_per_m + r.curvature_per_m, w.shear_n_per_m + r.shear_n_per_m)
        for w, r in zip(waves, rest, strict=True)
    ]
    parts = ([getattr(field, name) for field in both] for name in Field.__slots__)
    return Field(*(force * np.concatenate(part, axis=2) for part in parts))


def _put_small(plates: Plates, waves: Field, at: IntArray, points: Points) -> None:
    """Take more waves under a patch that is small beside its plate; the edges do not feel what they add."""
    sides = plates.length_x_m, plates.length_y_m
    fine = patch_waves(plates.d_star, plates.s_x, plates.s_y, *sides, plates.side_m, _SMALL_WAVES)
    found = periodic_field(_sheet(plates), folded(fine), _SMALL_WAVES, plates.side_m, points.take(at))
    waves.curvature_per_m[at], waves.shear_n_per_m[at] = found.curvature_per_m, found.shear_n_per_m


def _system(plates: Plates, basis: ritz.Basis, with_patch: bool) -> _System:
    tables = ritz.tables(basis)
    weights = energy_weights(plates)
    pressed = (plates.pressure_pa * plates.length_x_m * plates.length_y_m / 4)[:, None]
    loads, patch = [pressed * tables.load], None
    if with_patch:
        patch = _periodic(plates, basis)
        loads.append(_rest_of_patch(tables, weights, patch))
    answer = np.linalg.solve(_energy(weights, tables), np.stack(loads, axis=-1))
    factors, rest = (np.asarray(answer[..., at], dtype=np.float64) for at in (0, -1))
    return _System(tables, weights, pressed, factors, rest, patch)


def energy_of(plates: Plates, tables: ritz.Tables) -> FloatArray:
    """Stiffness of plates in the unknowns of a basis. (n, N, N)"""
    return _energy(energy_weights(plates), tables)


def _energy(weights: FloatArray, tables: ritz.Tables) -> FloatArray:
    count = len(tables.load)
    return np.asarray((weights @ tables.stiffness.reshape(-1, count * count)).reshape(-1, count, count))


def _solution(plates: Plates, system: _System) -> Solution:
    tables, field = system.tables, system.factors
    dip = system.patch.centre if system.patch else np.full(len(field), np.nan)
    work = np.einsum("nt,tru,nu->nr", system.weights, tables.probes, field, optimize=True)
    edge_length = np.stack([plates.length_y_m] * 2 + [plates.length_x_m] * 2, axis=-1)
    edge = np.asarray((work - system.pressed * tables.probe_load) / edge_length)
    return Solution(
        field @ tables.centre,
        plates.force_n * (dip + system.rest @ tables.centre),
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
