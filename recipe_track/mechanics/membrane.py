"""How far a single skin deflects when it also stretches: one term of large-deflection theory."""

import numpy as np

from recipe_track.mechanics.arrays import BoolArray, FloatArray
from recipe_track.mechanics.laminate import inverse

_SUPPORTED = {(1, 0): 0.5, (0, 1): 0.5}
_CLAMPED = {
    (2, 0): -0.5,
    (0, 2): -0.5,
    (1, 1): -1.0,
    (1, 0): 0.5,
    (0, 1): 0.5,
    (1, 2): 0.5,
    (2, 1): 0.5,
}


def membrane_coefficient(
    a_n_per_m: FloatArray, length_x_m: FloatArray, length_y_m: FloatArray, clamped: BoolArray
) -> FloatArray:
    """Coefficient k₄ of the fourth power of the deflection in the energy of a skin held in its plane.

    The deflection is W sin(π x/a) sin(π y/b) of a supported panel and W sin²(π x/a) sin²(π y/b) of a clamped
    one; edges are held in the plane on the mean and slide along themselves. The coupling of stretch and
    shear is left out.

    Parameters
    ----------
    a_n_per_m : (n, 3, 3)
        In-plane stiffness A. [N/m]
    length_x_m, length_y_m : (n,)
        Sides a and b along x and y. [m]
    clamped : (n,)

    Returns
    -------
    (n,)
        [N/m³]

    References
    ----------
    Derived by a stress function and energy; of the form of C. Y. Chia, Nonlinear Analysis of Plates, 1980
    (from memory).
    """
    compliance = inverse(a_n_per_m)
    c11, c12, c22, c66 = (compliance[:, i, j] for i, j in ((0, 0), (0, 1), (1, 1), (2, 2)))
    pair = c11 * c22 - c12**2
    xx, yy, xy = 1 / length_x_m**2, 1 / length_y_m**2, 1 / (length_x_m * length_y_m) ** 2
    area = length_x_m * length_y_m
    mean = np.where(clamped, 3 * np.pi**2 / 32, np.pi**2 / 8) ** 2
    even = area / 2 * mean * (c22 * xx**2 - 2 * c12 * xy + c11 * yy**2) / pair
    waved = np.zeros(len(area))
    for edges, waves in ((~clamped, _SUPPORTED), (clamped, _CLAMPED)):
        for (p, q), r in waves.items():
            soft = c22 * p**4 * xx**2 + (2 * c12 + c66) * p**2 * q**2 * xy + c11 * q**4 * yy**2
            waved += np.where(edges, r**2 * (0.25 if p * q else 0.5) / soft, 0.0)
    return np.asarray(even + np.pi**4 * area / 32 * xy**2 * waved)


def membrane_deflection(
    linear_m: FloatArray,
    pressure_pa: FloatArray,
    a_n_per_m: FloatArray,
    length_x_m: FloatArray,
    length_y_m: FloatArray,
    clamped: BoolArray,
) -> FloatArray:
    """Deflection of a single skin under pressure when it stretches as it bends: W + β W³ = linear.

    High by 1 to 10 % for squares, by up to 21 % at three times as long as wide, and never above the linear
    one; of no meaning where the edges can draw in. The strains that go with it are not claimed.

    Parameters
    ----------
    linear_m : (n,)
        Deflection of linear theory at the centre, shear included. [m]
    pressure_pa : (n,)
        That it is under. [Pa]
    a_n_per_m, length_x_m, length_y_m, clamped
        As for `membrane_coefficient`.

    Returns
    -------
    (n,)
        [m]

    References
    ----------
    As for `membrane_coefficient`; S. Levy, Bending of rectangular plates with large deflections, 1942, for
    squares (from memory).
    """
    k4 = membrane_coefficient(a_n_per_m, length_x_m, length_y_m, clamped)
    share = np.where(clamped, 0.25, 4 / np.pi**2)
    beta = 4 * k4 * linear_m / (pressure_pa * share * length_x_m * length_y_m)
    root = np.sqrt(3 * beta)
    return np.asarray(2 / root * np.sinh(np.arcsinh(1.5 * root * linear_m) / 3))
