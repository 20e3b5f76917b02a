"""A stiffener as a beam under an even load: deflection, strains of its plies, shear of its webs, frequency.

Plane sections and shear of the webs; every part strains as its own stack does. Not looked at: the bond of the
flanges, buckling of webs and crown, the plating's own bending on top. A sandwich under the stiffener counts
with its far skin fully, which overstates it.
"""

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from recipe_track.mechanics.arrays import BoolArray, FloatArray
from recipe_track.mechanics.margins import MODES, ply_demand

_FIRST_MODE = {True: 4.730040744862704, False: pi}
"""Roots β L of cos βL cosh βL = 1, both ends clamped, and of sin βL = 0, both supported."""


@dataclass(frozen=True, slots=True)
class Beam:
    """A beam under an even load per length, both ends clamped or both supported."""

    load_n_per_m: float
    span_m: float
    ei_n_m2: float
    ga_n: float
    clamped: bool


@dataclass(frozen=True, slots=True)
class PlyUse:
    """Greatest strain use of some plies, nan where no limit is known; what governs as indices, −1 there."""

    use: float
    ply: int
    face: int
    mode: int


def greatest_moment(beam: Beam) -> float:
    """Greatest bending moment: q L²/12 at clamped ends, q L²/8 in the middle between supported ones. [N·m]

    References
    ----------
    Roark's Formulas for Stress and Strain, table of beams (from memory). Half as much in the middle between
    clamped ends, with the opposite sign.
    """
    return beam.load_n_per_m * beam.span_m**2 / (12 if beam.clamped else 8)


def beam_deflection(beam: Beam) -> tuple[float, float]:
    """Deflection in the middle by bending and by shear. [m, m]

    References
    ----------
    Roark, as above: q L⁴/(384 EI) clamped, 5 q L⁴/(384 EI) supported; q L²/(8 GA) in both.
    """
    bent = (1 if beam.clamped else 5) * beam.load_n_per_m * beam.span_m**4 / (384 * beam.ei_n_m2)
    return bent, beam.load_n_per_m * beam.span_m**2 / (8 * beam.ga_n)


def beam_frequency(beam: Beam, mass_kg_per_m: float) -> float:
    """First natural frequency of the beam, bending and shear together; its load is of no matter. [Hz]

    Parameters
    ----------
    beam : Beam
    mass_kg_per_m : float
        The stiffener, the plating it carries and what that carries, per length. [kg/m]

    References
    ----------
    R. D. Blevins, Formulas for Natural Frequency and Mode Shape, 1979 (from memory), for bending;
    √(GA/m)/(2 L) for shear; added as 1/f² = 1/fb² + 1/fs² (S. Dunkerley, from memory), which is low.
    """
    bent = _FIRST_MODE[beam.clamped] ** 2 / (2 * pi) * sqrt(beam.ei_n_m2 / mass_kg_per_m) / beam.span_m**2
    sheared = sqrt(beam.ga_n / mass_kg_per_m) / (2 * beam.span_m)
    return 1 / sqrt(1 / bent**2 + 1 / sheared**2)


def beam_strain_use(
    curvature_per_m: float,
    height_m: FloatArray,
    sideways: FloatArray,
    angle_rad: FloatArray,
    random: BoolArray,
    limits: FloatArray,
) -> PlyUse:
    """Greatest strain use of the plies of a bent stiffener, whichever way it is bent.

    Every part draws in sideways and shears as its own stack pulled along the stiffener.

    Parameters
    ----------
    curvature_per_m : float
        Greatest moment over EI. [1/m]
    height_m : (ply, 2)
        Lowest and highest point of every ply over the neutral axis; a ply of a web spans its height. [m]
    sideways : (ply, 3)
        Column of A⁻¹ of the ply's stack that belongs to the pull along the stiffener, in the axes of the
        stack, over its own entry: εx, εy, γxy at a strain of 1 along the stiffener. [-]
    angle_rad : (ply,)
        Fibre direction in the same axes. [rad]
    random : (ply,)
    limits : (ply, 4)
        Strain limits in the order of `margins.MODES`; nan is not checked. [-]

    Returns
    -------
    PlyUse
        Face 0 is the lower point.

    References
    ----------
    R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, maximum strain (from memory).
    """
    strain = curvature_per_m * height_m[..., None] * sideways[:, None]
    return _governing(strain, angle_rad, random, limits)


def web_shear_use(
    flow_n_per_m: float,
    web_compliance: FloatArray,
    angle_rad: FloatArray,
    random: BoolArray,
    limits: FloatArray,
) -> PlyUse:
    """Greatest strain use of the plies of a web under the shear flow in it, whichever way it runs.

    Parameters
    ----------
    flow_n_per_m : float
        V S/(2 EI), S from `section.flow_moment`. [N/m]
    web_compliance : (3, 3)
        A⁻¹ of the web's stack, x along the stiffener. [m/N]
    angle_rad, random, limits
        As for `beam_strain_use`.

    Returns
    -------
    PlyUse
        Face is always 0.

    References
    ----------
    As for `beam_strain_use`.
    """
    strain = np.broadcast_to(flow_n_per_m * web_compliance[:, 2], (len(angle_rad), 1, 3))
    return _governing(strain, angle_rad, random, limits)


def _governing(strain: FloatArray, angle_rad: FloatArray, random: BoolArray, limits: FloatArray) -> PlyUse:
    """The greatest use of strains (ply, face, 3) of either sign."""
    both = np.stack([strain, -strain])[:, :, None]
    demand = ply_demand(both, np.stack([angle_rad] * 2), np.stack([random] * 2))[:, :, 0]
    checked = np.where(random[:, None] & (np.arange(len(MODES)) >= 2), np.nan, limits)
    uses = (demand / checked[:, None]).max(axis=0)
    known = np.where(np.isnan(uses), -np.inf, uses)
    if not known.size or np.isneginf(known).all():
        return PlyUse(float("nan"), -1, -1, -1)
    ply, face, mode = np.unravel_index((known >= known.max() * (1 - 1e-9)).argmax(), known.shape)
    return PlyUse(float(known.max()), int(ply), int(face), int(mode))
