"""How finely a panel is solved, and how much of a long one, so that each figure is as close as promised."""

from dataclasses import dataclass, replace

import numpy as np

from recipe_track.mechanics.arrays import BoolArray, FloatArray, IntArray
from recipe_track.mechanics.corner import decay_length
from recipe_track.mechanics.places import bend_twist_coupling
from recipe_track.mechanics.plate import Plates
from recipe_track.mechanics.ritz import Basis

# How many decay lengths a panel is at most taken long, supported and clamped. Measured: beyond them the
# deflection in the middle changes by less than 0.1 % (pressure) and 0.2 % (patch).
PRESSURE_REACH = (6.0, 5.0)
PATCH_REACH = (3.0, 2.5)
_LONG = 2.05
# Functions along the longer and the shorter side, by how slender a panel is as bending feels it: measured on
# random laminates, so that no deflection is off by more than 0.5 %. No round number is a bound: rounding must
# not decide how finely the panel of such a ratio is solved.
_SLENDER = np.array([1.61, 2.21, 2.61, 4.01])
_COUNTS = np.array([[8, 12, 12, 14, 18], [8, 6, 6, 6, 6]])
_PATCH_COUNTS = np.array([[8, 12, 14, 18, 26], [8, 6, 8, 8, 8]])
_SHARP_COUNTS = np.array([[12, 18, 18, 24, 24], [12, 12, 12, 12, 12]])
_FREQUENCY_COUNTS = np.array([[6, 8, 8, 10, 14], [6, 6, 6, 6, 6]])
_SHARP_COUPLING = 0.25
_FULL_COUPLING = 0.1
# Functions more along either side for the fields, by the coupling of bending and twist: measured on random
# laminates against finite elements.
_FIELD_COUPLING = np.array([0.1, 0.25, 0.5])
_CLAMPED_MORE = np.array([0, 2, 6, 12])
_SUPPORTED_MORE = np.array([0, 4, 8, 12])


@dataclass(frozen=True, slots=True)
class Kind:
    """How some plates are solved: their functions, with a patch or not, and whether their corners are sharp.

    Deflections of plates with sharp corners go on to where finer solutions tend.
    """

    basis: Basis
    with_patch: bool
    sharp: bool


def usual_kinds(plates: Plates, clamped: BoolArray, with_patch: BoolArray) -> IntArray:
    """How finely each plate is solved for deflections; rows for `kind_of`. (n, 6)"""
    coupling = bend_twist_coupling(plates.d_star)
    sharp = ~clamped & (coupling > _SHARP_COUPLING)
    full = clamped & (coupling > _FULL_COUPLING)
    return np.stack([*_counts(plates, sharp, with_patch), clamped, full, with_patch, sharp], axis=1)


def frequency_kinds(plates: Plates, clamped: BoolArray) -> IntArray:
    """How finely each plate is solved for its first natural frequency; rows for `kind_of`. (n, 6)"""
    slender = _slenderness(plates)
    step = np.searchsorted(_SLENDER, np.maximum(slender, 1 / slender))
    coupled = bend_twist_coupling(plates.d_star) > _FULL_COUPLING
    long, short = _FREQUENCY_COUNTS[:, step] + np.where(coupled, 4, 0) - ~clamped
    along_x, along_y = np.where(slender >= 1, long, short), np.where(slender >= 1, short, long)
    no = np.zeros(len(clamped), dtype=bool)
    return np.stack([along_x, along_y, clamped, no, no, no], axis=1)


def asks_for_more(d_star: FloatArray, clamped: BoolArray, with_patch: bool) -> BoolArray:
    """Whether the fields of plates ask for more functions than their deflections. (n,)

    Under a patch the strains are greatest under it, where they come from the periodic plate: there only a
    strong coupling of bending and twist does.
    """
    coupling = bend_twist_coupling(d_star)
    return np.asarray(coupling > _SHARP_COUPLING if with_patch else _more(coupling, clamped) > 0)


def field_kinds(plates: Plates, clamped: BoolArray, with_patch: BoolArray) -> IntArray:
    """How finely plates are solved whose fields ask for more; rows for `kind_of`. (n, 6)"""
    coupling, nowhere = bend_twist_coupling(plates.d_star), np.zeros(len(clamped), dtype=bool)
    more = _more(coupling, clamped)
    along_x, along_y = (count + more for count in _counts(plates, nowhere, with_patch))
    full = coupling > _FULL_COUPLING
    return np.stack([along_x, along_y, clamped, full, with_patch, nowhere], axis=1)


def _more(coupling: FloatArray, clamped: BoolArray) -> IntArray:
    step = np.searchsorted(_FIELD_COUPLING, coupling)
    return np.where(clamped, _CLAMPED_MORE[step], _SUPPORTED_MORE[step])


def kind_of(row: IntArray) -> Kind:
    """The kind that a row stands for."""
    count_x, count_y, *flags = row.tolist()
    clamped, full, with_patch, sharp = map(bool, flags)
    return Kind(Basis(count_x, count_y, clamped, full), with_patch, sharp)


def shortened(plates: Plates, clamped: BoolArray, reach: tuple[float, float], loaded_m: FloatArray) -> Plates:
    """Panels no longer than what is loaded and the reach of it, in decay lengths (supported, clamped)."""
    length_x, length_y = plates.length_x_m.copy(), plates.length_y_m.copy()
    slender = _slenderness(plates)
    turned = [1, 0, 2]
    for long, wide, d, ratio, longer in (
        (length_x, plates.length_y_m, plates.d_star, plates.s_x / plates.s_y, slender > _LONG),
        (
            length_y,
            plates.length_x_m,
            plates.d_star[:, turned][:, :, turned],
            plates.s_y / plates.s_x,
            slender < 1 / _LONG,
        ),
    ):
        at = np.flatnonzero(longer)
        felt = np.maximum(decay_length(d[at]), np.sqrt(ratio[at])) * wide[at]
        long[at] = np.minimum(long[at], loaded_m[at] + np.where(clamped[at], reach[1], reach[0]) * felt)
    return replace(plates, length_x_m=length_x, length_y_m=length_y)


def _slenderness(plates: Plates) -> FloatArray:
    """Length along x over length along y of the panels as bending feels them."""
    stiffness = plates.d_star[:, 1, 1] / plates.d_star[:, 0, 0]
    return np.asarray(plates.length_x_m / plates.length_y_m * stiffness**0.25)


def _counts(plates: Plates, sharp: BoolArray, with_patch: BoolArray) -> tuple[IntArray, IntArray]:
    """Functions along x and y: more along the side that is longer as bending feels it."""
    slender = _slenderness(plates)
    step = np.searchsorted(_SLENDER, np.maximum(slender, 1 / slender))
    usual = np.where(with_patch, _PATCH_COUNTS[:, step], _COUNTS[:, step])
    long, short = np.where(sharp, _SHARP_COUNTS[:, step], usual)
    return np.where(slender >= 1, long, short), np.where(slender >= 1, short, long)
