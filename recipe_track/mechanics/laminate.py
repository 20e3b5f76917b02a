"""A stack of plies: classical lamination theory, and what a strip or a panel cut from it shows."""

from dataclasses import dataclass

import numpy as np

from recipe_track.mechanics.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Stiffness:
    """A [N/m], B [N] and D [N·m] of each laminate about the mid-plane of its stack, each (..., 3, 3)."""

    a: FloatArray
    b: FloatArray
    d: FloatArray


def ply_bounds(thickness_m: FloatArray) -> FloatArray:
    """Heights of the faces of the plies above the mid-plane of the stack.

    Parameters
    ----------
    thickness_m : (..., ply)
        Mould side first, coatings included; 0 pads a short stack. [m]

    Returns
    -------
    (..., ply + 1)
        From minus half the thickness at the mould face to plus half at the bag face. [m]
    """
    top = np.cumsum(thickness_m, axis=-1)
    total = top[..., -1:]
    return np.concatenate([-total / 2, top - total / 2], axis=-1)


def stiffness(q_bar_pa: FloatArray, thickness_m: FloatArray) -> Stiffness:
    """Stiffness of laminates in their plane, in bending, and the coupling of both.

    N = A ε0 + B κ and M = B ε0 + D κ, where a strain at height z is ε0 + z κ.

    Parameters
    ----------
    q_bar_pa : (..., ply, 3, 3)
        Plane-stress stiffness of each ply in zone axes; 0 for a coating. [Pa]
    thickness_m : (..., ply)
        Mould side first; 0 pads a short stack. [m]

    Returns
    -------
    Stiffness
        About the mid-plane. Valid for thin, perfectly bonded plies. [N/m, N, N·m]

    References
    ----------
    R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, ch. 4 (from memory).
    """
    z = ply_bounds(thickness_m)
    middle = (z[..., :-1] + z[..., 1:]) / 2
    weights = [thickness_m, thickness_m * middle, thickness_m * (middle**2 + thickness_m**2 / 12)]
    a, b, d = (np.einsum("...p,...pij->...ij", weight, q_bar_pa) for weight in weights)
    return Stiffness(a, b, d)


def strip_stiffness(laminate: Stiffness) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Stiffness per unit width of strips cut along x and y, free to warp and to shrink sideways.

    The bending stiffness does not depend on the plane that A, B and D refer to. The stiffness when pulled
    does: the pull acts in that plane, and an unsymmetric strip bends under it. A laminate that carries
    nothing gives 0.

    Parameters
    ----------
    laminate : Stiffness
        (..., 3, 3) each.

    Returns
    -------
    ea_x, ea_y : (...)
        1/a11 and 1/a22, pulled. [N/m]
    ei_x, ei_y : (...)
        1/d11 and 1/d22, bent. [N·m]

    References
    ----------
    R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, ch. 4 (from memory), inverse of
    [A B; B D] by blocks.
    """
    a, d = _compliances(laminate)
    compliances = (a[..., 0, 0], a[..., 1, 1], d[..., 0, 0], d[..., 1, 1])
    ea_x, ea_y, ei_x, ei_y = (np.divide(1.0, c, out=np.zeros(c.shape), where=c > 0) for c in compliances)
    return ea_x, ea_y, ei_x, ei_y


@dataclass(frozen=True, slots=True)
class Constants:
    """Engineering constants of laminates: ex_pa, ey_pa, gxy_pa [Pa] and nu_xy [-], each (...)."""

    ex_pa: FloatArray
    ey_pa: FloatArray
    gxy_pa: FloatArray
    nu_xy: FloatArray


def engineering_constants(laminate: Stiffness, thickness_m: FloatArray) -> Constants:
    """Moduli of laminates in their plane, free to warp: what a narrow coupon cut from them shows.

    For skins at ±45° the modulus along is far below what the same skin gives in a wide panel, whose sides
    cannot draw in. An unsymmetric laminate bends as it is pulled and is softer for it.

    Parameters
    ----------
    laminate : Stiffness
        (..., 3, 3) each.
    thickness_m : (...)
        Thickness that the moduli refer to, above 0; without coatings. [m]

    Returns
    -------
    Constants
        1/(a11 t), 1/(a22 t), 1/(a66 t), −a12/a11; 0, and nan for ν, where nothing carries.

    References
    ----------
    R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, ch. 4 (from memory): a from the inverse of
    the whole [A B; B D].
    """
    a, _ = _compliances(laminate)
    carries = a[..., 0, 0] > 0
    ex, ey, gxy = (
        np.divide(1.0, a[..., i, i] * thickness_m, out=np.zeros(carries.shape), where=carries)
        for i in range(3)
    )
    nan = np.full(carries.shape, np.nan)
    return Constants(ex, ey, gxy, np.divide(-a[..., 0, 1], a[..., 0, 0], out=nan, where=carries))


def _compliances(laminate: Stiffness) -> tuple[FloatArray, FloatArray]:
    """a and d of the inverse of [A B; B D], by blocks."""
    a_inverse = inverse(laminate.a)
    d = inverse(reduced_bending(laminate))
    coupling = a_inverse @ laminate.b
    return a_inverse + coupling @ d @ np.swapaxes(coupling, -1, -2), d


def reduced_bending(laminate: Stiffness) -> FloatArray:
    """Bending stiffness D* = D − B A⁻¹ B of panels that are free to stretch in their plane.

    Parameters
    ----------
    laminate : Stiffness
        (..., 3, 3) each.

    Returns
    -------
    (..., 3, 3)
        Symmetric; the bending stiffness about the neutral surface. [N·m]

    References
    ----------
    J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed., 2004, reduced bending
    stiffness (from memory).
    """
    d_star = laminate.d - laminate.b @ inverse(laminate.a) @ laminate.b
    return (d_star + np.swapaxes(d_star, -1, -2)) / 2


def mid_plane_strain(laminate: Stiffness, curvature_per_m: FloatArray) -> FloatArray:
    """Strains of the mid-plane that go with a curvature when no in-plane force acts: ε0 = −A⁻¹ B κ.

    Parameters
    ----------
    laminate : Stiffness
        (..., 3, 3) each.
    curvature_per_m : (..., place, 3)
        κx, κy, κxy at any number of places of each laminate. [1/m]

    Returns
    -------
    (..., place, 3)
        εx, εy, γxy. [-]
    """
    return np.asarray(-np.einsum("...ij,...pj->...pi", inverse(laminate.a) @ laminate.b, curvature_per_m))


def inverse(matrix: FloatArray) -> FloatArray:
    """Inverse of each symmetric stiffness; all zeros for a stack that carries nothing.

    Parameters
    ----------
    matrix : (..., 3, 3)
        Positive definite, or zero throughout.

    Returns
    -------
    (..., 3, 3)
    """
    carries = matrix[..., 0, 0] > 0
    safe = np.where(carries[..., None, None], matrix, np.eye(3))
    return np.where(carries[..., None, None], np.linalg.inv(safe), 0.0)
