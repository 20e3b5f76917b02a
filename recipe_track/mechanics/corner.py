"""How far the ends of a long panel are felt, and how sharp the corners of a supported one are."""

import numpy as np

from recipe_track.mechanics.arrays import FloatArray

_TRIAL = np.linspace(1.02, 2.2, 119)


def convergence_power(d_star: FloatArray) -> FloatArray:
    """Power of the number of functions with which the error of a supported panel's deflection falls.

    Bend-twist coupling makes the deflection in two of the corners grow as r^λ with λ below 2, where r is the
    distance: not smooth, and polynomials of degree p reach it only as p^(−4 (λ − 1)).

    Parameters
    ----------
    d_star : (n, 3, 3)
        Bending stiffness with D16 or D26 not 0. [N·m]

    Returns
    -------
    (n,)
        4 (λ − 1); 4 where there is no corner sharper than a twist.

    References
    ----------
    S. G. Lekhnitskii, Anisotropic Plates (complex variables x + μ y); I. Babuška and M. Suri, The p and h-p
    versions of the finite element method, 1994, for the rate of convergence (both from memory).
    """
    mirror = np.array([[1.0, 1.0, -1.0], [1.0, 1.0, -1.0], [-1.0, -1.0, 1.0]])
    exponents = np.minimum(_corner_exponent(d_star), _corner_exponent(d_star * mirror))
    return np.asarray(4 * (exponents - 1))


def decay_length(d_star: FloatArray) -> FloatArray:
    """How far the ends of a long panel are felt along x, in widths over π; 1 for an isotropic plate.

    Parameters
    ----------
    d_star : (n, 3, 3)
        Bending stiffness. [N·m]

    Returns
    -------
    (n,)
        The slowest decay exp(−π x/(f width)) of a thin strip along x whose deflection is one half wave wide,
        as its f. [-]

    References
    ----------
    S. G. Lekhnitskii, Anisotropic Plates (from memory): roots of D11 μ⁴ + 4 D16 μ³ + … + D22 = 0.
    """
    return np.asarray(1 / np.abs(_roots(d_star).imag).min(axis=-1))


def _roots(d_star: FloatArray) -> np.ndarray[tuple[int, ...], np.dtype[np.complex128]]:
    """Roots μ of D11 μ⁴ + 4 D16 μ³ + 2 (D12 + 2 D66) μ² + 4 D26 μ + D22 = 0. (n, 4)"""
    companion = np.zeros((len(d_star), 4, 4))
    companion[:, [1, 2, 3], [0, 1, 2]] = 1
    middle = 2 * (d_star[:, 0, 1] + 2 * d_star[:, 2, 2])
    row = np.stack([4 * d_star[:, 0, 2], middle, 4 * d_star[:, 1, 2], d_star[:, 1, 1]], axis=-1)
    companion[:, 0] = -row / d_star[:, 0, 0, None]
    return np.linalg.eigvals(companion).astype(np.complex128)


def _corner_exponent(d_star: FloatArray) -> FloatArray:
    """Smallest λ up to 2 of w = Re Σ c (x + μ y)^λ that a corner of supported edges x = 0, y = 0 allows."""
    exchanged = d_star[:, [1, 0, 2]][:, :, [1, 0, 2]]
    roots = _roots(exchanged)
    upper = np.take_along_axis(roots, np.argsort(-roots.imag, axis=-1)[:, :2], axis=-1)[:, None]
    d = d_star[:, None, None]
    ones = np.ones((*upper.shape[:1], len(_TRIAL), 2))
    edge_y = (d[..., 1, 1] * upper + 2 * d[..., 1, 2]) * upper * ones
    rise = upper ** _TRIAL[:, None]
    edge_x = (d[..., 0, 0] + 2 * d[..., 0, 2] * upper) * rise / upper**2
    rows = np.stack([ones, edge_y / d[..., 1, 1], rise, edge_x / d[..., 0, 0]], axis=-2)
    determinant = np.linalg.det(np.concatenate([rows.real, -rows.imag], axis=-1))
    crossing = determinant[:, 1:] * determinant[:, :-1] < 0
    found = crossing.any(axis=1)
    at = np.where(found, crossing.argmax(axis=1), 0)
    low, high = (np.take_along_axis(determinant, (at + step)[:, None], 1)[:, 0] for step in (0, 1))
    step = np.divide(low, low - high, out=np.zeros(len(at)), where=found)
    return np.where(found, np.minimum(_TRIAL[at] + step * (_TRIAL[1] - _TRIAL[0]), 2.0), 2.0)
