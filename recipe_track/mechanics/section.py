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


@dataclass(frozen=True, slots=True)
class Wall:
    """The laminate of a part, per width: EA [N/m], height of its axis over its first face [m], own EI [N·m].

    `thickness_m` counts all of it.
    """

    ea: float
    axis_m: float
    ei: float
    thickness_m: float


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


def wall(modulus_pa: FloatArray, thickness_m: FloatArray) -> Wall:
    """The laminate of one part of a section, its lines in the order in which they lie on the former.

    Parameters
    ----------
    modulus_pa : (line,)
        Of each line along the stiffener, 1/(t (A⁻¹)₁₁) of that line alone; 0 for one that carries nothing.
        [Pa]
    thickness_m : (line,)
        Of all plies of the line. [m]

    Returns
    -------
    Wall
        Nothing at all where there are no lines.
    """
    ea, height = modulus_pa * thickness_m, np.cumsum(thickness_m) - thickness_m / 2
    ei, axis = bending_stiffness(Parts(ea, height, ea * thickness_m**2 / 12))
    return Wall(float(ea.sum()), float(axis), float(ei), float(thickness_m.sum()))


def hat(shape: HatShape, crown: Wall, web: Wall, flange: Wall) -> Parts:
    """The laminate of a hat: crown, both webs, both flanges.

    A web is a strip that leans: its own EI is that of a line of its height plus that of its thickness. The
    corners are left out, none counts twice.

    Parameters
    ----------
    shape : HatShape
        Of the former; the laminate lies outside it.
    crown, web, flange : Wall
        The laminate on each part.

    Returns
    -------
    Parts
        (5,) each.

    References
    ----------
    Second moment of a thin inclined strip: any table of sections.
    """
    h, lean = shape.height_m, (shape.base_m - shape.crown_m) / 2
    slope = web_length(shape)
    own = web.ei * (lean / slope) ** 2 * slope
    leaning = (web.ea * slope, h / 2, web.ea * slope * h**2 / 12 + own)
    top = (crown.ea * shape.crown_m, h + crown.axis_m, crown.ei * shape.crown_m)
    foot = (flange.ea * shape.flange_m, flange.axis_m, flange.ei * shape.flange_m)
    return _parts([top, leaning, leaning, foot, foot])


def web_length(shape: HatShape) -> float:
    """Length of a web from foot to crown, along its lean. [m]"""
    return float(np.hypot(shape.height_m, (shape.base_m - shape.crown_m) / 2))


def girth(shape: HatShape) -> float:
    """Developed girth of a hat over its former: crown, webs, flanges. [m]"""
    return shape.crown_m + 2 * web_length(shape) + 2 * shape.flange_m


def section_modulus(ei_n_m2: float, modulus_pa: float, distance_m: float) -> float:
    """EI over the modulus of an outer part and the distance of its outer face from the neutral axis. [m³]

    The stress that a moment makes in that face is the moment over it, if the part is as stiff all through as
    on the mean. 0 where the part carries nothing or the face lies on the axis.
    """
    return ei_n_m2 / (modulus_pa * distance_m) if modulus_pa * distance_m > 0 else 0.0


def web_shear_stiffness(shape: HatShape, web_n_per_m: float, former_pa: float = 0.0) -> float:
    """Shear stiffness GA of a hat: both webs, and the former where it carries.

    Parameters
    ----------
    shape : HatShape
        Of the former.
    web_n_per_m : float
        1/(A⁻¹)₆₆ of the laminate of a web: its shear modulus times its thickness. [N/m]
    former_pa : float
        Shear modulus of the former across its height. [Pa]

    Returns
    -------
    float
        2 G t h²/ℓ, ℓ the length of a web, plus the former's G times its area. Crown and flanges add nothing.
        [N]

    References
    ----------
    A strip that leans at the angle α from upright has G t ℓ cos² α along the height (own derivation).
    """
    webs = 2 * web_n_per_m * shape.height_m**2 / web_length(shape)
    return webs + former_pa * shape.height_m * (shape.crown_m + shape.base_m) / 2


def flow_moment(shape: HatShape, crown: Wall, web: Wall, former_pa: float, axis_m: float) -> float:
    """First moment Σ EA (z − z0) of what lies above the neutral axis, from which the flow in the webs comes.

    Where the axis lies below the webs' feet the cut is made there, where it lies above the crown, below it:
    the flow is greatest at the cut. V times this over EI is the flow in both webs together.

    Parameters
    ----------
    shape : HatShape
        Of the former.
    crown, web : Wall
        The laminate on them.
    former_pa : float
        Modulus of the former along the stiffener; it carries its share of the flow's source, not of the flow,
        which is taken to run in the webs alone. [Pa]
    axis_m : float
        Height of the neutral axis over the face that the stiffener stands on. [m]

    Returns
    -------
    float
        [N·m]

    References
    ----------
    D. J. Jourawski's shear flow, S. Timoshenko, Strength of Materials (from memory).
    """
    h = shape.height_m
    cut = min(max(axis_m, 0.0), h)
    top = crown.ea * shape.crown_m * (h + crown.axis_m - axis_m)
    leaning = 2 * web.ea * web_length(shape) / h * (h - cut) * ((h + cut) / 2 - axis_m)
    narrows = (shape.base_m - shape.crown_m) / h
    filled = _trapezium_moment(shape.base_m - narrows * cut, narrows, h - cut, cut - axis_m)
    return top + leaning + former_pa * filled


def _trapezium_moment(foot_m: float, narrows: float, height_m: float, foot_over_axis_m: float) -> float:
    """First moment of a trapezium of a given width at its foot about an axis below that. [m³]"""
    area = (foot_m - narrows * height_m / 2) * height_m
    own = foot_m * height_m**2 / 2 - narrows * height_m**3 / 3
    return own + area * foot_over_axis_m


def joined(*groups: Parts) -> Parts:
    """One section of all the parts of several."""
    columns = zip(*((group.ea, group.height_m, group.ei) for group in groups), strict=True)
    return Parts(*(np.concatenate(column, axis=-1) for column in columns))


def _parts(rows: list[tuple[float, float, float]]) -> Parts:
    ea, height, ei = np.array(rows, dtype=np.float64).T
    return Parts(ea, height, ei)
