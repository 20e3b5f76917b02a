"""How much of what a panel can bear is used, all over it and pushed from either side.

The places of a field are many, the questions asked at each are few: strain is straight through the
thickness, so that of all plies of one fibre direction and one set of limits only the lowest and the highest
face count, and its greatest and its least value together tell what a load on either side does. Those are
looked for with seven digits; what governs is computed again with sixteen.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from recipe_track.mechanics.arrays import BoolArray, FloatArray, IntArray
from recipe_track.mechanics.laminate import Stiffness, inverse
from recipe_track.mechanics.margins import face_compression, wrinkling_stress
from recipe_track.mechanics.ply import strain_rotation

MOULD, BAG, BOTH = 1, -1, 0
"""The side that a load acts on: the mould side, as the fields are computed; the bag side; either of them."""
AT_ONCE = 4_000_000
_SINGLE, _DOUBLE = 1e-5, 1e-6


@dataclass(frozen=True, slots=True)
class StrainUse:
    """Greatest strain use of each panel (n,), nan where no limit is known, and where it stands.

    ply, place, face, mode (n,): indices of the ply, of the place of the field, of the ply's face (0 towards
    the mould, 1 towards the bag) and into `margins.MODES`, −1 where nothing is checked; side (n,): MOULD or
    BAG, 0 there.
    """

    use: FloatArray
    ply: IntArray
    place: IntArray
    face: IntArray
    mode: IntArray
    side: IntArray


@dataclass(frozen=True, slots=True)
class CoreShearUse:
    """Greatest core shear use (n,), nan where none is checked; its ply, its place, the greater stress (n,).

    direction (n,): 0 where the stress along x is the greater there, 1 where that along y is; −1 for nothing.
    """

    use: FloatArray
    ply: IntArray
    place: IntArray
    direction: IntArray


@dataclass(frozen=True, slots=True)
class WrinklingUse:
    """Greatest wrinkling use (n,), nan where none is checked; face, place, direction, side (n,) as above."""

    use: FloatArray
    face: IntArray
    place: IntArray
    direction: IntArray
    side: IntArray


@dataclass(frozen=True, slots=True)
class _Groups:
    """Plies of one direction and one set of limits (n, group); ply and height of both outer faces (…, 2)."""

    ply: IntArray
    z_m: FloatArray
    angle_rad: FloatArray
    random: BoolArray
    limits: FloatArray


def greatest_strain_use(
    laminate: Stiffness,
    curvature_per_m: FloatArray,
    side: IntArray,
    z_m: FloatArray,
    angle_rad: FloatArray,
    random: BoolArray,
    limits: FloatArray,
) -> StrainUse:
    """Greatest ratio of strain to limit over all places of a field, both faces of every ply.

    As `margins.strain_use`, which asks the same at few places.

    Parameters
    ----------
    laminate : Stiffness
        (n, 3, 3) each.
    curvature_per_m : (n, 3, place)
        κx, κy, κxy under a load on the mould side; 0 at places that do not count. [1/m]
    side : (n,)
        MOULD, BAG or BOTH, the worse of both.
    z_m : (n, ply, 2)
        Height of both faces of the ply over the mid-plane, the one towards the mould first. [m]
    angle_rad : (n, ply)
        Fibre direction from x towards y; of no effect on a random ply. [rad]
    random : (n, ply)
        Whether the ply's fibres lie at random.
    limits : (n, ply, 4)
        Strain limits in the order of `margins.MODES`, above 0; nan is not checked. [-]

    Returns
    -------
    StrainUse

    References
    ----------
    R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, ch. 2, maximum strain (from memory).
    """
    groups = _groups(z_m, angle_rad, random, limits)
    if not groups.ply.shape[1]:
        no = np.full(len(side), -1)
        return StrainUse(np.full(len(side), np.nan), no, no, no, no, no + 1)
    per_zone = groups.ply.shape[1] * 6 * curvature_per_m.shape[2]
    pieces = np.array_split(np.arange(len(side)), max(1, len(side) * per_zone // AT_ONCE))
    parts = [
        _strain_use(
            Stiffness(laminate.a[at], laminate.b[at], laminate.d[at]),
            curvature_per_m[at],
            side[at],
            _Groups(*(getattr(groups, name)[at] for name in _Groups.__slots__)),
        )
        for at in pieces
    ]
    return StrainUse(*(np.concatenate([getattr(p, name) for p in parts]) for name in StrainUse.__slots__))


def _strain_use(laminate: Stiffness, curvature: FloatArray, side: IntArray, groups: _Groups) -> StrainUse:
    """The use of some panels."""
    count, most = groups.ply.shape[:2]
    to_ply = _to_ply_strain(laminate, groups.z_m, np.where(groups.random, 0.0, groups.angle_rad))
    rows = to_ply.reshape(count, -1, 3).astype(np.float32)
    strain = rows @ curvature.astype(np.float32)
    high, low = (m.reshape(count, most, 2, 3) for m in (strain.max(axis=2), -strain.min(axis=2)))
    whole = strain.reshape(count, most, 2, 3, -1)
    for found, sign in ((high, 1), (low, -1)):
        found[groups.random, :, 0] = _principal(sign * whole[groups.random]).max(axis=-1)
    across = np.maximum(high, low)[..., 1:]
    pressed = np.stack(
        [
            np.concatenate([np.stack([up[..., 0], down[..., 0]], axis=-1), across], axis=-1)
            for up, down in ((high, low), (low, high))
        ],
        axis=-1,
    )
    uses = pressed / groups.limits[:, :, None, :, None]
    asked = np.stack([side >= BOTH, side <= BOTH], axis=-1)[:, None, None, None]
    known, (group, face, mode, bag) = _greatest(np.where(asked, uses, np.nan), _SINGLE)
    return _again(to_ply, curvature, groups, ~np.isnan(known), group, face, mode, bag)


def _again(
    to_ply: FloatArray,
    curvature: FloatArray,
    groups: _Groups,
    known: BoolArray,
    group: IntArray,
    face: IntArray,
    mode: IntArray,
    bag: IntArray,
) -> StrainUse:
    """What governs, computed with all digits at every place."""
    n = np.arange(len(group))
    sign = np.where(bag == 1, -1.0, 1.0)[:, None, None]
    strain = sign * (to_ply[n, group, face] @ curvature)
    along, least = strain[:, 0], -strain[:, 0]
    mat = groups.random[n, group]
    along[mat], least[mat] = _principal(strain[mat]), _principal(-strain[mat])
    demand = np.stack([along, least, np.abs(strain[:, 1]), np.abs(strain[:, 2])], axis=1)[n, mode]
    use, (place,) = _greatest(demand / groups.limits[n, group, mode][:, None], _DOUBLE)
    where = (groups.ply[n, group, face], place, face, mode)
    ply, at, on, by = (np.where(known, index, -1) for index in where)
    return StrainUse(np.where(known, use, np.nan), ply, at, on, by, _sides(known, bag))


def greatest_core_shear_use(
    shear_n_per_m: FloatArray,
    peak_flow_per_m: FloatArray,
    angle_rad: FloatArray,
    strength_pa: FloatArray,
) -> CoreShearUse:
    """Greatest ratio of the transverse shear stress in a core to its strength, both directions together.

    The stresses along x and y, each the greatest through the thickness of the core, are turned into its
    directions L and W and count as the root of the sum of their squared ratios.

    Parameters
    ----------
    shear_n_per_m : (n, 2, place)
        Qx and Qy; 0 at places that do not count. [N/m]
    peak_flow_per_m : (n, ply, 2)
        `shear.peak_shear_flow` of each ply along x and along y. [1/m]
    angle_rad : (n, ply)
        Direction L of the core from x towards y. [rad]
    strength_pa : (n, ply, 2)
        Shear strength along L and along W; nan for plies that are no core and strengths that are not known.
        [Pa]

    Returns
    -------
    CoreShearUse

    References
    ----------
    D. Zenkert, An Introduction to Sandwich Construction, 1995 (from memory), for the stress; the quadratic
    sum is common practice, no source.
    """
    known = np.asarray(np.isfinite(strength_pa).all(axis=-1))
    at, nowhere = _packed(known)
    n = np.arange(len(at))[:, None]
    flow, angle = peak_flow_per_m[n, at], angle_rad[n, at]
    c, s = np.cos(angle), np.sin(angle)
    turn = np.stack([np.stack([c, s], axis=-1), np.stack([-s, c], axis=-1)], axis=-2)
    turn = turn * flow[..., None, :] / np.where(nowhere[..., None], np.nan, strength_pa[n, at])[..., None]
    squares = np.swapaxes(turn, -1, -2) @ turn
    if not flow.shape[1]:
        nothing = np.full(len(at), -1)
        return CoreShearUse(np.full(len(at), np.nan), nothing, nothing, nothing)
    q_x, q_y = shear_n_per_m[:, None, 0], shear_n_per_m[:, None, 1]
    square = [squares[..., i, j, None] for i, j in ((0, 0), (0, 1), (1, 1))]
    squared = (square[0] * q_x + 2 * square[1] * q_y) * q_x + square[2] * q_y**2
    use, (core, place) = _greatest(squared, _DOUBLE)
    found, rows = ~np.isnan(use), np.arange(len(use))
    stress = np.abs(shear_n_per_m[rows, :, place] * flow[rows, core])
    where = (at[rows, core], place, stress[:, 1] > stress[:, 0] * (1 + _DOUBLE))
    ply, on, along = (np.where(found, index, -1) for index in where)
    return CoreShearUse(np.sqrt(use), ply, on, along)


def greatest_wrinkling_use(
    laminate: Stiffness,
    curvature_per_m: FloatArray,
    side: IntArray,
    q_bar_pa: FloatArray,
    thickness_m: FloatArray,
    z_m: FloatArray,
    in_face: BoolArray,
    core_pa: FloatArray,
    core_shear_pa: FloatArray,
) -> WrinklingUse:
    """Greatest ratio of the mean compressive stress of a face, along x or y, to its wrinkling stress.

    As `margins.wrinkling_use`, which asks the same at few places. Compression along neither axis, as twist
    makes it at 45°, is not checked.

    Parameters
    ----------
    laminate, q_bar_pa, thickness_m, z_m, in_face, core_pa, core_shear_pa
        As for `margins.wrinkling_use`.
    curvature_per_m, side
        As for `greatest_strain_use`.

    Returns
    -------
    WrinklingUse

    References
    ----------
    As `margins.wrinkling_stress`.
    """
    per_curvature, modulus = face_compression(laminate, q_bar_pa, thickness_m, z_m, in_face)
    allowed = wrinkling_stress(modulus, core_pa[..., None], core_shear_pa[..., None])
    shares = (per_curvature / allowed[..., None]) @ curvature_per_m[:, None]
    if not shares.shape[1]:
        no = np.full(len(side), -1)
        return WrinklingUse(np.full(len(side), np.nan), no, no, no, no + 1)
    both = np.stack([shares.max(axis=-1), -shares.min(axis=-1)], axis=-1)
    asked = np.stack([side >= BOTH, side <= BOTH], axis=-1)[:, None, None]
    use, (face, direction, bag) = _greatest(np.where(asked, np.maximum(both, 0.0), np.nan), _DOUBLE)
    along = np.where(bag == 1, -1.0, 1.0)[:, None] * shares[np.arange(len(use)), face, direction]
    _, (place,) = _greatest(along, _DOUBLE)
    found = ~np.isnan(use)
    where = (face, place, direction)
    on, at, by = (np.where(found, index, -1) for index in where)
    return WrinklingUse(use, on, at, by, _sides(found, bag))


def _sides(known: BoolArray, bag: IntArray) -> IntArray:
    return np.where(known, np.where(bag == 1, BAG, MOULD), 0)


def core_crush_use(force_n: FloatArray, side_m: FloatArray, strength_pa: FloatArray) -> FloatArray:
    """Share of a core's compressive strength that a force on a square uses, as if no face spread it.

    Parameters
    ----------
    force_n, side_m : (...)
        Force and side of the square. [N, m]
    strength_pa : (...)
        Compressive strength of the core through its thickness; nan is not checked. [Pa]

    Returns
    -------
    (...)
        Force over area over strength: on the safe side, for any face spreads the force. [-]

    References
    ----------
    Common practice, no source.
    """
    return np.asarray(force_n / side_m**2 / strength_pa)


def _groups(z_m: FloatArray, angle_rad: FloatArray, random: BoolArray, limits: FloatArray) -> _Groups:
    """Plies that ask the same question, as one with the lowest and the highest of their faces."""
    checked = np.where(random[..., None] & (np.arange(4) >= 2), np.nan, limits)
    asks = np.concatenate([np.where(random, 0.0, angle_rad)[..., None], random[..., None], checked], axis=-1)
    asks = np.nan_to_num(asks, nan=-1.0)
    alike = np.ones((*random.shape, random.shape[1]), dtype=bool)
    for question in np.moveaxis(asks, -1, 0):
        alike &= question[:, :, None] == question[:, None]
    is_first = alike.argmax(axis=2) == np.arange(random.shape[1])
    first, nothing = _packed(is_first & ~np.isnan(checked).all(axis=-1))
    n = np.arange(len(first))[:, None]
    mine = alike[n, first]
    low = np.where(mine, z_m[:, None, :, 0], np.inf)
    high = np.where(mine, z_m[:, None, :, 1], -np.inf)
    ply = np.stack([low.argmin(axis=2), high.argmax(axis=2)], axis=-1) if low.shape[2] else first[..., None]
    z = np.take_along_axis(np.stack([low, high], axis=-1), ply[:, :, None], axis=2)[:, :, 0]
    limited = np.where(nothing[..., None], np.nan, checked[n, first])
    return _Groups(ply, z, angle_rad[n, first], random[n, first], limited)


def _packed(chosen: BoolArray) -> tuple[IntArray, BoolArray]:
    """Indices of the chosen of each row, in order, and which of them only fill up the row. (n, most)"""
    most = int(chosen.sum(axis=1).max(initial=0))
    at = np.argsort(~chosen, axis=1, kind="stable")[:, :most]
    return at, ~np.take_along_axis(chosen, at, axis=1)


def _to_ply_strain(laminate: Stiffness, z_m: FloatArray, angle_rad: FloatArray) -> FloatArray:
    """What takes curvatures to strains of plies in their own axes: T (z − A⁻¹ B). (n, group, face, 3, 3)"""
    middle = -inverse(laminate.a) @ laminate.b
    height = z_m[..., None, None] * np.eye(3) + middle[:, None, None]
    return np.asarray(strain_rotation(angle_rad)[:, :, None] @ height)


def _principal(strain: npt.NDArray[np.floating]) -> npt.NDArray[np.floating]:
    """Greatest strain in the plane out of εx, εy, γxy, which come last but one."""
    mean, half = (strain[..., 0, :] + strain[..., 1, :]) / 2, (strain[..., 0, :] - strain[..., 1, :]) / 2
    return np.asarray(mean + np.hypot(half, strain[..., 2, :] / 2), dtype=strain.dtype)


def _greatest(uses: FloatArray, tolerance: float) -> tuple[FloatArray, tuple[IntArray, ...]]:
    """Greatest use of each panel and its indices, the first of equals; nan and 0 where all are nan.

    Places that mirror each other differ by rounding alone, on each machine in its own way; fields of patches
    are added up with seven digits.
    """
    flat = uses.reshape(len(uses), -1)
    if not flat.shape[1]:
        return np.full(len(uses), np.nan), tuple(np.zeros((uses.ndim - 1, len(uses)), dtype=np.intp))
    filled = np.where(np.isnan(flat), -np.inf, flat)
    greatest = filled.max(axis=1)
    at = (filled >= (greatest - tolerance * np.abs(greatest))[:, None]).argmax(axis=1)
    use = np.where(np.isneginf(greatest), np.nan, greatest)
    return use, tuple(np.unravel_index(at, uses.shape[1:]))
