"""The section of a stiffener: its former, its laminate and an effective width of the zone it stands on.

Method, kept simple and on the safe side: plane sections, no shear, no slip. The former is a rectangle,
`section_mm2` by `height_mm` (a square where no height is stated), standing on the bag face of the attached
zone. The girth covers two webs and the crown and, with what is left, two flanges on the attached zone;
corners are left out. Each line of a layup counts with its own modulus along the stiffener, 1/(t (A⁻¹)₁₁) of
that line alone; lines of partial coverage are left out. Of the attached zone the axis stated in
`attached_axis` runs along the stiffener; where none is stated the weaker of both does. Composite section
about its neutral axis, as in any textbook of the strength of materials (from memory).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from recipe_track.figures.plies import ResolvedLayer
from recipe_track.figures.si import MM, MPA
from recipe_track.mechanics.laminate import inverse
from recipe_track.mechanics.section import (
    HatShape,
    Wall,
    bending_stiffness,
    former,
    hat,
    joined,
    plating,
    wall,
)
from recipe_track.recipe.layup import Former, Zone
from recipe_track.recipe.materials import Core

PIECES = ("crown", "web", "web", "flange", "flange", "former")
Strip = tuple[float, float]
"""Modulus along the stiffener [Pa] and thickness [m] of all plies of one line."""


@dataclass(frozen=True, slots=True)
class SectionPiece:
    """One part of a section: EA [N], height of its axis above the attached face [m], own EI [N·m²]."""

    what: str
    ea_n: float
    height_m: float
    own_ei_n_m2: float


@dataclass(frozen=True, slots=True)
class StiffenerSection:
    """EI of a section about its neutral axis, that axis's height above the attached face, and its pieces."""

    ei_n_m2: float
    neutral_axis_m: float
    pieces: tuple[SectionPiece, ...]


def outline_of(core: Former, girth_mm: float) -> HatShape | None:
    """The former and what its girth leaves for flanges; None where the girth does not reach around."""
    height = core.height_mm or sqrt(core.section_mm2)
    width = core.section_mm2 / height
    flange = (girth_mm - 2 * height - width) / 2
    # a girth stated to the millimetre may fall short of a computed width by a rounding
    return HatShape(height * MM, width * MM, width * MM, max(flange, 0.0) * MM) if flange > -0.5 else None


def strips_of(layers: Iterable[ResolvedLayer], axis: int = 0) -> list[Strip]:
    """The full lines of a layup as strips along x (axis 0) or y (axis 1) of their zone, mould side first."""
    return [_strip(layer, axis) for layer in layers if layer.full]


def _strip(resolved: ResolvedLayer, axis: int) -> Strip:
    plies = resolved.plies
    compliance = inverse(np.einsum("k,kij->ij", plies.thickness_m, plies.q_bar_pa))[axis, axis]
    modulus = 1 / (plies.total_m * compliance) if compliance > 0 else 0.0
    return float(modulus), plies.total_m * resolved.layer.plies


def wall_of(strips: Sequence[Strip]) -> Wall:
    """The lines of a layup as one wall."""
    return wall(*(np.array([strip[k] for strip in strips], dtype=float) for k in (0, 1)))


def composite_section(
    zone: Zone, shape: HatShape, strips: Sequence[Strip], core: Core, attached: Sequence[Strip]
) -> StiffenerSection | None:
    """The composite section; None where nothing in it carries."""
    around = wall_of(strips)
    parts = [hat(shape, around, around, around), former(shape, core.e_inplane_mpa * MPA)]
    names = list(PIECES)
    if attached:
        plate = wall_of(attached)
        width = (zone.effective_width_mm or 0.0) * MM
        parts.insert(0, plating(plate.ea, plate.ei, plate.axis_m - plate.thickness_m, width))
        names.insert(0, "attached zone")
    whole = joined(*parts)
    if whole.ea.sum() <= 0:
        return None
    stiffness, height = bending_stiffness(whole)
    columns = (whole.ea.tolist(), whole.height_m.tolist(), whole.ei.tolist())
    pieces = tuple(SectionPiece(*row) for row in zip(names, *columns, strict=True))
    return StiffenerSection(float(stiffness), float(height), pieces)


def attached_strips(zone: Zone, attached: Sequence[ResolvedLayer]) -> list[Strip]:
    """The attached zone's lines along the stiffener: the axis stated, else the one that carries less."""
    along = {"x": strips_of(attached, 0), "y": strips_of(attached, 1)}
    if zone.attached_axis is not None:
        return along[zone.attached_axis]
    return min(along.values(), key=lambda strips: sum(e * t for e, t in strips))
