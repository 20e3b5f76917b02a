"""Bending stiffness of a stiffener with the plating it stands on, as a composite section.

The section is cut into parts, each with its axial stiffness EA, the height of its own axis and its own
bending stiffness EI about that axis. The whole bends about the axis that the parts share, plane sections
staying plane: shear in the webs and a plating that does not work over its whole width are not in it, the
latter but for the effective width that is put in. Heights count from the face of the plating that the
stiffener stands on, away from the plating.
"""

from dataclasses import dataclass

import numpy as np

from recipe_track.mechanics.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Parts:
    """Parts of a section, any shape: EA [N], height of the axis [m], EI about that axis [N·m²]."""

    ea: FloatArray
    height_m: FloatArray
    ei: FloatArray


@dataclass(frozen=True, slots=True)
class HatShape:
    """A hat: a crown over two webs that may lean, and a flange on either side at their feet. [m]

    The dimensions are those of the former, to which the laminate is added outside; a box has a base as wide
    as its crown, a plain former no flanges.
    """

    height_m: float
    crown_m: float
    base_m: float
    flange_m: float = 0.0


def bending_stiffness(parts: Parts) -> tuple[FloatArray, FloatArray]:
    """Bending stiffness of sections about their neutral axis, and the height of that axis.

    Parameters
    ----------
    parts : Parts
        (..., part) each; a part with no EA adds only its own EI.

    Returns
    -------
    ei, height_m : (...)
        Σ (EI + EA (z − z0)²) with z0 = Σ EA z / Σ EA. [N·m², m]

    References
    ----------
    Parallel-axis theorem for sections of several materials: S. Timoshenko, Strength of Materials (from
    memory).
    """
    total = parts.ea.sum(axis=-1)
    first = (parts.ea * parts.height_m).sum(axis=-1)
    axis = np.divide(first, total, out=np.zeros(total.shape), where=total > 0)
    moved = parts.ea * (parts.height_m - axis[..., None]) ** 2
    return (parts.ei + moved).sum(axis=-1), axis


def plating(ea_per_width: float, ei_per_width: float, height_m: float, effective_width_m: float) -> Parts:
    """The plating that works with a stiffener, as one part.

    Parameters
    ----------
    ea_per_width, ei_per_width : float
        Of the plating along the stiffener, about its own neutral axis. [N/m, N·m]
    height_m : float
        Of that axis; below the face that the stiffener stands on, so negative. [m]
    effective_width_m : float
        Width of plating taken to work fully. [m]

    Returns
    -------
    Parts
        (1,) each.
    """
    return _parts([(ea_per_width * effective_width_m, height_m, ei_per_width * effective_width_m)])


def former(shape: HatShape, modulus_pa: float) -> Parts:
    """The former under a hat, a trapezium that may carry along its length.

    Parameters
    ----------
    shape : HatShape
        Flanges do not count.
    modulus_pa : float
        Along the stiffener; 0 for a former that only gives the shape. [Pa]

    Returns
    -------
    Parts
        (1,) each.

    References
    ----------
    Area, centroid and second moment of a trapezium: any table of sections.
    """
    h, top, bottom = shape.height_m, shape.crown_m, shape.base_m
    area = h * (top + bottom) / 2
    height = h * (bottom + 2 * top) / (3 * (top + bottom))
    second = h**3 * (top**2 + 4 * top * bottom + bottom**2) / (36 * (top + bottom))
    return _parts([(modulus_pa * area, height, modulus_pa * second)])


def hat(shape: HatShape, ea_per_girth: float, thickness_m: float, ei_per_girth: float = 0.0) -> Parts:
    """The laminate of a hat: crown, both webs, both flanges.

    A web is a strip that leans: its own EI is that of a line of its height plus that of its thickness.

    Parameters
    ----------
    shape : HatShape
        Of the former; the laminate lies outside it, its middle half a thickness away.
    ea_per_girth : float
        Of the laminate along the stiffener. [N/m]
    thickness_m : float
        Of the laminate. [m]
    ei_per_girth : float
        Of the laminate about its own neutral axis. [N·m]

    Returns
    -------
    Parts
        (5,) each.

    References
    ----------
    Second moment of a thin inclined strip: any table of sections.
    """
    h, lean = shape.height_m, (shape.base_m - shape.crown_m) / 2
    slope = float(np.hypot(h, lean))
    own = ei_per_girth * (lean / slope) ** 2 * slope
    web = (ea_per_girth * slope, h / 2, ea_per_girth * slope * h**2 / 12 + own)
    crown = (ea_per_girth * shape.crown_m, h + thickness_m / 2, ei_per_girth * shape.crown_m)
    flange = (ea_per_girth * shape.flange_m, thickness_m / 2, ei_per_girth * shape.flange_m)
    return _parts([crown, web, web, flange, flange])


def girth(shape: HatShape) -> float:
    """Developed girth of a hat over its former: crown, webs, flanges. [m]"""
    lean = (shape.base_m - shape.crown_m) / 2
    return shape.crown_m + 2 * float(np.hypot(shape.height_m, lean)) + 2 * shape.flange_m


def joined(*groups: Parts) -> Parts:
    """One section of all the parts of several."""
    columns = zip(*((group.ea, group.height_m, group.ei) for group in groups), strict=True)
    return Parts(*(np.concatenate(column, axis=-1) for column in columns))


def _parts(rows: list[tuple[float, float, float]]) -> Parts:
    ea, height, ei = np.array(rows, dtype=np.float64).T
    return Parts(ea, height, ei)
