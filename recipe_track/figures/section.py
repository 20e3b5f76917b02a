"""The bending stiffness of a stiffener with its former and an effective width of the zone it stands on.

Method, kept simple and on the safe side: plane sections, no shear, no slip. The former is a rectangle,
`section_mm2` by `height_mm` (a square where no height is stated), standing on the bag face of the attached
zone. The girth covers two webs and the crown and, with what is left, two flanges on the attached zone;
corners are left out. Each line of a layup counts with its own modulus along the stiffener, 1/(t (A⁻¹)₁₁) of
that line alone; lines of partial coverage are left out. Of the attached zone the axis stated in
`attached_axis` runs along the stiffener; where none is stated the weaker of both does. Composite section
about its neutral axis, as in any textbook of the strength of materials (from memory).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from recipe_track.figures.plies import MM, MPA, ResolvedLayer
from recipe_track.mechanics.laminate import inverse
from recipe_track.recipe.layup import Former, Zone
from recipe_track.recipe.materials import Core


@dataclass(frozen=True, slots=True)
class Piece:
    """A rectangle of a section: EA [N], height of its middle above the attached face [m], own EI [N·m²]."""

    what: str
    ea_n: float
    middle_m: float
    own_ei_n_m2: float


@dataclass(frozen=True, slots=True)
class Section:
    """EI of a section about its neutral axis, the axis's height above the attached face, and its pieces."""

    ei_n_m2: float
    neutral_axis_m: float
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Outline:
    """Width and height of the former and the width of each flange [m]."""

    width_m: float
    height_m: float
    flange_m: float


Strip = tuple[float, float]
"""Modulus along the stiffener [Pa] and thickness [m] of all plies of one line."""


def composite_section(pieces: Sequence[Piece]) -> Section | None:
    """EI = Σ (own EI + EA (z − z0)²) about the neutral axis z0 = Σ EA z / Σ EA; None if nothing carries."""
    total = sum(p.ea_n for p in pieces)
    if total <= 0:
        return None
    axis = sum(p.ea_n * p.middle_m for p in pieces) / total
    ei = sum(p.own_ei_n_m2 + p.ea_n * (p.middle_m - axis) ** 2 for p in pieces)
    return Section(ei, axis, tuple(pieces))


def outline_of(former: Former, girth_mm: float) -> Outline | None:
    """The sides of a former and what is left of the girth; None where the girth does not reach around."""
    height = former.height_mm or sqrt(former.section_mm2)
    width = former.section_mm2 / height
    flange = (girth_mm - 2 * height - width) / 2
    # a girth stated to the millimetre may fall short of a computed width by a rounding
    return Outline(width * MM, height * MM, max(flange, 0.0) * MM) if flange > -0.5 else None


def strips_of(layers: Iterable[ResolvedLayer], axis: int = 0) -> list[Strip]:
    """The full lines of a layup as strips along x (axis 0) or y (axis 1) of their zone, mould side first."""
    return [_strip(layer, axis) for layer in layers if layer.full]


def _strip(resolved: ResolvedLayer, axis: int) -> Strip:
    plies = resolved.plies
    total = float(plies.thickness_m.sum())
    compliance = inverse(np.einsum("k,kij->ij", plies.thickness_m, plies.q_bar_pa))[axis, axis]
    return (1 / (total * compliance) if compliance > 0 else 0.0), total * resolved.layer.plies


def section_pieces(
    zone: Zone, outline: Outline, strips: Sequence[Strip], former: Core, attached: Sequence[Strip]
) -> list[Piece]:
    """Every rectangle of the section: attached zone, flanges, webs, former, crown."""
    wide = (zone.effective_width_mm or 0.0) * MM
    height, width = outline.height_m, outline.width_m
    below = -sum(t for _, t in attached)
    membrane = sum(e * t for e, t in strips)
    webs = 2 * membrane * height
    core = former.e_inplane_mpa * MPA * width * height
    return [
        *_flat("attached zone", attached, wide, below),
        *_flat("flanges", strips, 2 * outline.flange_m, 0.0),
        Piece("webs", webs, height / 2, webs * height**2 / 12),
        Piece("former", core, height / 2, core * height**2 / 12),
        *_flat("crown", strips, width, height),
    ]


def _flat(what: str, strips: Sequence[Strip], width_m: float, bottom_m: float) -> Iterator[Piece]:
    for e, t in strips:
        ea = e * t * width_m
        yield Piece(what, ea, bottom_m + t / 2, ea * t**2 / 12)
        bottom_m += t


def attached_strips(zone: Zone, attached: Sequence[ResolvedLayer]) -> list[Strip]:
    """The attached zone's lines along the stiffener: the axis stated, else the one that carries less."""
    along = {"x": strips_of(attached, 0), "y": strips_of(attached, 1)}
    if zone.attached_axis is not None:
        return along[zone.attached_axis]
    return min(along.values(), key=lambda strips: sum(e * t for e, t in strips))
