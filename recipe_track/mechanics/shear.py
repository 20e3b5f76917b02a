"""Shear across the thickness: the flow of it through a stack, its stiffness, its greatest value in a ply."""

import numpy as np

from recipe_track.mechanics.arrays import FloatArray
from recipe_track.mechanics.laminate import ply_bounds


def transverse_shear_stiffness(e_bar_pa: FloatArray, g_pa: FloatArray, thickness_m: FloatArray) -> FloatArray:
    """Transverse shear stiffness per unit width by the energy of the shear flow.

    A homogeneous strip gives 5/6 G h; thin faces on a soft core give G d²/c. The flow is quadratic within
    a ply, so that its energy is integrated exactly.

    Parameters
    ----------
    e_bar_pa : (..., ply)
        Modulus of each ply along the direction looked at, Q̄11 or Q̄22. [Pa]
    g_pa : (..., ply)
        Shear modulus of each ply across the thickness in that direction. [Pa]
    thickness_m : (..., ply)
        Mould side first; 0 pads a short stack. A ply with neither modulus, a coating, keeps its place but
        stores no energy. [m]

    Returns
    -------
    (...)
        1/∫ q²/G dz; 0 for a stack that carries nothing. [N/m]

    References
    ----------
    E. Reissner's complementary energy in bending, as in D. Zenkert, An Introduction to Sandwich
    Construction, 1995 (from memory).
    """
    start, slope, bend = _flow(e_bar_pa, thickness_m)
    t = thickness_m
    squared = (
        start**2 * t
        + start * slope * t**2
        + (slope**2 + 2 * start * bend) * t**3 / 3
        + slope * bend * t**4 / 2
        + bend**2 * t**5 / 5
    )
    # a ply with stiffness but no shear modulus would carry the flow with no resistance: no stiffness at all
    loose = (g_pa <= 0) & (e_bar_pa > 0) & (t > 0)
    energy = np.divide(squared, g_pa, out=np.where(loose, np.inf, 0.0), where=g_pa > 0).sum(axis=-1)
    return np.asarray(np.divide(1.0, energy, out=np.zeros(energy.shape), where=energy > 0))


def peak_shear_flow(e_bar_pa: FloatArray, thickness_m: FloatArray) -> FloatArray:
    """Greatest share of the shear force per unit height within each ply.

    Times a shear force per unit width [N/m] it is the greatest transverse shear stress in the ply [Pa].

    Parameters
    ----------
    e_bar_pa : (..., ply)
        Modulus of each ply along the direction of the shear force. [Pa]
    thickness_m : (..., ply)
        Mould side first. [m]

    Returns
    -------
    (..., ply)
        The greatest of both faces of the ply and of the neutral axis where that lies within. [1/m]

    References
    ----------
    As transverse_shear_stiffness.
    """
    start, slope, bend = _flow(e_bar_pa, thickness_m)
    end = start + slope * thickness_m + bend * thickness_m**2
    where = np.divide(-slope, 2 * bend, out=np.zeros(slope.shape), where=bend > 0)
    where = np.clip(where, 0.0, thickness_m)
    inside = start + slope * where + bend * where**2
    return np.asarray(np.abs(np.stack([start, inside, end])).max(axis=0))


def _flow(e_bar_pa: FloatArray, thickness_m: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Coefficients of q = start + slope u + bend u², u the height above the ply's mould-side face."""
    z = ply_bounds(thickness_m)
    middle = (z[..., :-1] + z[..., 1:]) / 2
    ea = e_bar_pa * thickness_m
    total = ea.sum(axis=-1, keepdims=True)
    axis = np.divide(
        (ea * middle).sum(axis=-1, keepdims=True), total, out=np.zeros(total.shape), where=total > 0
    )
    ei = (ea * ((middle - axis) ** 2 + thickness_m**2 / 12)).sum(axis=-1, keepdims=True)
    share = np.divide(e_bar_pa, ei, out=np.zeros(ea.shape), where=ei > 0)
    gain = share * thickness_m * (middle - axis)
    start = np.cumsum(gain, axis=-1) - gain
    return start, share * (z[..., :-1] - axis), share / 2
