"""Curvatures and transverse forces all over a plate, out of the functions and the waves it is solved by."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre

from recipe_track.mechanics import ritz
from recipe_track.mechanics.arrays import FloatArray, IntArray, SingleArray
from recipe_track.mechanics.patch import Folded, shear_alone

_Shapes = tuple[FloatArray, ...]


@dataclass(frozen=True, slots=True)
class Field:
    """κx, κy, κxy (n, 3, place) [1/m] and Qx, Qy (n, 2, place) [N/m] of plates at places."""

    curvature_per_m: FloatArray
    shear_n_per_m: FloatArray


@dataclass(frozen=True, slots=True)
class Points:
    """The places of a field: every x (n, along x) with every y (n, along y), in half sides of the plate.

    One row stands for all plates.
    """

    x: FloatArray
    y: FloatArray

    def take(self, chosen: IntArray) -> "Points":
        """The places of some of the plates."""
        return Points(*(at if len(at) == 1 else at[chosen] for at in (self.x, self.y)))


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a field depends on of n plates: shear stiffness [N/m] and sides [m], each (n,)."""

    s_x: FloatArray
    s_y: FloatArray
    length_x_m: FloatArray
    length_y_m: FloatArray


def polynomial_fields(
    sheet: Sheet, basis: ritz.Basis, factors: FloatArray, lift: FloatArray | None, grids: tuple[Points, ...]
) -> list[Field]:
    """Fields of plates whose deflection and rotations are sums of the functions of a basis.

    Parameters
    ----------
    sheet : Sheet
    basis : ritz.Basis
    factors : (n, N)
        Of `ritz.Tables.free`. [m for w, 1 for rotations]
    lift : (n, L) or None
        Of `ritz.Tables.lifting`, where there is any.
    grids : Points
        One field is found for each.

    Returns
    -------
    list of Field
    """
    tables, shapes = ritz.tables(basis), _shapes(basis)
    products = [factors[:, tables.free.field == f] @ shapes[0][f] for f in range(3)]
    if lift is not None:
        products = [p + lift[:, tables.lifting.field == f] @ shapes[1][f] for f, p in enumerate(products)]
    sums = np.stack(products, axis=1).reshape(len(factors), 3, basis.count_x + 2, basis.count_y + 2)
    fields = []
    for points in grids:
        along_x, along_y = (_sampled(at, sums.shape[axis]) for at, axis in ((points.x, 2), (points.y, 3)))
        found = along_x[:, None] @ (sums @ np.swapaxes(along_y, 1, 2)[:, None])
        shape = (len(factors), 3, 2, points.x.shape[1], 2, points.y.shape[1])
        fields.append(_field_of(sheet, found.reshape(shape)))
    return fields


def periodic_field(
    sheet: Sheet,
    waves: Folded,
    most: int,
    side_m: FloatArray,
    points: Points,
) -> Field:
    """Field of periodic plates under a unit force on a patch, see `patch.periodic_plate`.

    The waves decay slowly in the transverse force, but what is left over a plate that only shears, which is
    known in closed form along one direction, decays with two powers more. Added up with seven digits.

    Parameters
    ----------
    sheet : Sheet
    waves : Folded
    most : int
        How many of the waves along either side are taken, and a third more of the plate that only shears.
    side_m : (n,)
        Of the patch. [m]
    points : Points

    Returns
    -------
    Field
        For a force of 1 N.
    """
    kept = slice(most + 1)
    k_x, k_y = waves.k_x[:, kept], waves.k_y[..., kept]
    turn_x, turn_y, over = (
        np.moveaxis(of[:, :, kept, kept], 1, 0) for of in (waves.turn_x, waves.turn_y, waves.over)
    )
    s_x, s_y = (s[:, None, None].astype(np.float32) for s in (sheet.s_x, sheet.s_y))
    # a factor ky makes a sum over +ky and −ky out of a difference, and a difference out of a sum
    bent, sheared = [], []
    for same, other in ((0, 1), (1, 0)):
        twist = k_y * turn_x[other] + k_x * turn_y[same]
        bent.append(np.stack([k_x * turn_x[same], k_y * turn_y[other], twist], axis=1))
        along, across = turn_x[same] - k_x * over[same], turn_y[same] - k_y * over[other]
        sheared.append(np.stack([s_x * along, s_y * across], axis=1))
    cos_x, sin_x = _waves_at(points.x, most + 1)
    cos_y, sin_y = _waves_at(points.y, most + 1)
    curvature = _summed(bent, (cos_x, -sin_x), (cos_y, sin_y))
    shear = _summed(sheared, (sin_x, cos_x), (cos_y, sin_y))
    length_x, length_y = sheet.length_x_m, sheet.length_y_m
    width_x, width_y = np.minimum(side_m, length_x), np.minimum(side_m, length_y)
    sides = (length_x, length_y, width_x, width_y)
    shear += shear_alone((sheet.s_x, sheet.s_y), sides, points.x, points.y, most * 4 // 3)
    return Field(_flat(curvature), _flat(shear))


def _summed(
    waves: list[SingleArray],
    along_x: tuple[SingleArray, SingleArray],
    along_y: tuple[SingleArray, SingleArray],
) -> SingleArray:
    """Waves, sums and differences, added up at every x and y. (n, component, along x, along y)"""
    first, second = (
        np.swapaxes(x, 1, 2)[:, None] @ (part @ y[:, None])
        for part, x, y in zip(waves, along_x, along_y, strict=True)
    )
    return np.asarray(first + second)


def _waves_at(at: FloatArray, count: int) -> tuple[SingleArray, SingleArray]:
    """cos and sin of whole waves at places. (n, wave, place)"""
    angle = (np.pi * np.arange(count)).astype(np.float32)[:, None] * at[:, None].astype(np.float32)
    return np.cos(angle), np.sin(angle)


def _flat(found: SingleArray) -> FloatArray:
    return found.reshape(*found.shape[:2], -1).astype(np.float64)


def _sampled(at: FloatArray, count: int) -> FloatArray:
    """Values of the Legendre polynomials at places, then their slopes there. (n, 2 · place, degree)"""
    values = legendre.legvander(at, count - 1)
    return np.concatenate([values, values[..., :-1] @ _slopes(count)], axis=1)


@lru_cache(maxsize=64)
def _slopes(count: int) -> FloatArray:
    """Legendre polynomials as the slopes of those up to one degree more. (degree, degree + 1)"""
    return np.asarray(legendre.legder(np.eye(count), axis=1).T)


@lru_cache(maxsize=64)
def _shapes(basis: ritz.Basis) -> tuple[_Shapes, _Shapes]:
    """Legendre coefficients in x · y of every function of each field, (function, x · y): free, lifting."""
    tables = ritz.tables(basis)
    free, lifting = (
        tuple(
            np.einsum("fx,fy->fxy", of.along_x[mine], of.along_y[mine]).reshape(mine.sum(), -1)
            for mine in (of.field == field for field in range(3))
        )
        for of in (tables.free, tables.lifting)
    )
    return free, lifting


def _field_of(sheet: Sheet, found: FloatArray) -> Field:
    """Strains out of fields (n, field, value or slope along x, place, value or slope along y, place)."""
    per_x, per_y = (2 / length[:, None, None] for length in (sheet.length_x_m, sheet.length_y_m))
    w, turn_x, turn_y = found[:, ritz.W], found[:, ritz.PHI_X], found[:, ritz.PHI_Y]
    curvature = [
        turn_x[:, 1, :, 0] * per_x,
        turn_y[:, 0, :, 1] * per_y,
        turn_x[:, 0, :, 1] * per_y + turn_y[:, 1, :, 0] * per_x,
    ]
    shear = [
        sheet.s_x[:, None, None] * (w[:, 1, :, 0] * per_x + turn_x[:, 0, :, 0]),
        sheet.s_y[:, None, None] * (w[:, 0, :, 1] * per_y + turn_y[:, 0, :, 0]),
    ]
    count = len(found)
    return Field(
        np.stack(curvature, axis=1).reshape(count, 3, -1), np.stack(shear, axis=1).reshape(count, 2, -1)
    )
