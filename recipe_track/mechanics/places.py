"""Where a panel is looked at: an even grid over the whole of it, and a finer one over its patch.

A plate that is the same everywhere, under a load that looks the same from both ends, bends alike at (x, y)
and (−x, −y), and is sheared there with the opposite sign. One half of every grid is enough: that with x ≥ 0.
"""

import numpy as np

from recipe_track.mechanics.arrays import BoolArray, FloatArray

PANEL_GRID, PATCH_GRID = 21, 11
"""Places along either side, edges included."""
_SINGULAR_COUPLING = 0.1


def _half_grid(count: int) -> FloatArray:
    """Places of one half of an even grid, in half sides from the middle. (place, 2)"""
    along_x, along_y = np.linspace(0, 1, count // 2 + 1), np.linspace(-1, 1, count)
    return np.stack(np.meshgrid(along_x, along_y, indexing="ij"), axis=-1).reshape(-1, 2)


PANEL_PLACES = _half_grid(PANEL_GRID)
"""Places of the panel grid, in half sides of the panel from its middle: x, y. (231, 2)"""
PATCH_PLACES = _half_grid(PATCH_GRID)
"""Places of the patch grid, in half sides of the patch from its middle: x, y. (66, 2)"""
_STEPS = np.rint((1 - np.abs(PANEL_PLACES)) * (PANEL_GRID - 1) / 2)
_TWICE = (PANEL_PLACES[:, 0] == 0) & (PANEL_PLACES[:, 1] < 0)
CENTRE, EDGE_X, EDGE_Y = (
    int(np.flatnonzero((PANEL_PLACES[:, 0] == x) & (PANEL_PLACES[:, 1] == y))[0])
    for x, y in ((0, 0), (1, 0), (0, 1))
)
"""The centre, the middle of the edge x+ and that of the edge y+ among PANEL_PLACES."""


def bend_twist_coupling(d_star: FloatArray) -> FloatArray:
    """How strongly bending and twist are coupled: max(D16²/(D11 D66), D26²/(D22 D66)).

    Parameters
    ----------
    d_star : (n, 3, 3)
        Bending stiffness. [N·m]

    Returns
    -------
    (n,)
        0 not at all, 1 not possible. [-]
    """
    bend, twist = d_star[:, [0, 1], [0, 1]], d_star[:, 2, 2, None]
    return np.asarray((d_star[:, [0, 1], 2] ** 2 / (bend * twist)).max(axis=1))


def counted_places(d_star: FloatArray, clamped: BoolArray) -> BoolArray:
    """Which places of the panel grid count for margins.

    The four corners are left out, where nothing is defined, and places that stand in the grid twice. On hard
    supports with a coupling above 0.1 the other three of the 2 × 2 places at each corner are left out, too:
    bending grows without bound towards such a corner, and what it comes to is a matter of how near one looks.

    Parameters
    ----------
    d_star : (n, 3, 3)
        Bending stiffness. [N·m]
    clamped : (n,)

    Returns
    -------
    (n, 231)
    """
    singular = ~clamped & (bend_twist_coupling(d_star) > _SINGULAR_COUPLING)
    left_out = np.where(singular, 1, 0)[:, None]
    return np.asarray((_STEPS.max(axis=1) > left_out) & ~_TWICE)


def beside_corner(place: int) -> bool:
    """Whether a place of the panel grid lies within two steps of a corner along both sides."""
    return bool(_STEPS[place].max() <= 2)
