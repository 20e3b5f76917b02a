"""The section of a stiffener: its former, its laminate and an effective width of the zone it stands on.

Plane sections, no slip. The height stands on the bag face of the attached zone; the laminate lies outside the
former, corners are left out, none counts twice. A layer lies on crown, webs, flanges or all of them; layers
on one part lie in listed order from the former outwards. Each line counts with its own modulus along the
stiffener, 1/(t (A⁻¹)₁₁) of that line alone; lines of partial coverage are left out. Where a former states its
own `section_mm2` it is a rectangle, `section_mm2` by `height_mm` (a square where no height is stated), and
the flanges are what the girth leaves. Of the attached zone the axis stated in `attached_axis` runs along the
stiffener; where none is stated the weaker of both does. Composite section about its neutral axis, as in any
textbook of the strength of materials (from memory).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from recipe_track.figures.plies import ResolvedLayer, core_shear_moduli
from recipe_track.figures.si import MM, MPA
from recipe_track.mechanics.arrays import FloatArray
from recipe_track.mechanics.laminate import inverse
from recipe_track.mechanics.section import (
    HatShape,
    Parts,
    Wall,
    bending_stiffness,
    former,
    hat,
    joined,
    plating,
    section_modulus,
    wall,
    web_shear_stiffness,
)
from recipe_track.recipe.layup import PartOfSection, Zone, section_stated
from recipe_track.recipe.materials import Coating, Core

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


@dataclass(frozen=True, slots=True, eq=False)
class SectionPart:
    """What lies on one part of a section, from its first face outwards.

    `axis` is the axis of its layers that runs along the stiffener, 0 for x; `compliance` (3, 3) is A⁻¹ of its
    stack in the axes of its layers [m/N]. `bare` are the lowest and highest face of what is no coating, over
    its first face [m].
    """

    layers: tuple[ResolvedLayer, ...]
    axis: int
    wall: Wall
    compliance: FloatArray
    bare: tuple[float, float]

    @property
    def mean_modulus_pa(self) -> float:
        """EA over the thickness without coatings; 0 where nothing lies."""
        thickness = self.bare[1] - self.bare[0]
        return self.wall.ea / thickness if thickness > 0 else 0.0


@dataclass(frozen=True, slots=True)
class FormerModuli:
    """Of a former that carries: along the stiffener, and in shear over its height; 0 of one that does not."""

    e_pa: float
    g_pa: float


@dataclass(frozen=True, slots=True, eq=False)
class StiffenerSection:
    """A section about its neutral axis, its height above the attached face, and what it is made of."""

    shape: HatShape
    crown: SectionPart
    web: SectionPart
    flange: SectionPart
    plating: SectionPart | None
    former: FormerModuli
    ei_n_m2: float
    neutral_axis_m: float
    pieces: tuple[SectionPiece, ...]

    @property
    def modulus_crown_m3(self) -> float:
        """For the outer face of the crown, of its mean modulus [m³]; 0 where it carries nothing."""
        outer = self.shape.height_m + self.crown.bare[1] - self.neutral_axis_m
        return section_modulus(self.ei_n_m2, self.crown.mean_modulus_pa, outer)

    @property
    def modulus_base_m3(self) -> float:
        """For the outer face of the plating, else of the flanges, of its mean modulus [m³]."""
        if self.plating is not None:
            outer = self.neutral_axis_m + self.plating.wall.thickness_m - self.plating.bare[0]
            return section_modulus(self.ei_n_m2, self.plating.mean_modulus_pa, outer)
        if self.shape.flange_m <= 0:
            return 0.0
        outer = self.neutral_axis_m - self.flange.bare[0]
        return section_modulus(self.ei_n_m2, self.flange.mean_modulus_pa, outer)

    @property
    def ga_web_n(self) -> float:
        """Shear stiffness of both webs and of a former that carries [N]."""
        compliance = float(self.web.compliance[2, 2])
        web = 1 / compliance if compliance > 0 else 0.0
        return web_shear_stiffness(self.shape, web, self.former.g_pa)


def shape_of(zone: Zone) -> HatShape | None:
    """The shape of a stiffener's section in metres; None where nothing states it."""
    stated = section_stated(zone)
    if stated is None:
        return None
    return HatShape(
        stated.height_mm * MM, stated.crown_mm * MM, stated.base_mm * MM, stated.flange_mm * MM
    )  # fmt: skip


def former_moduli(core: Core | None, carries: bool) -> FormerModuli:
    """Moduli of a former, its strong direction along the stiffener."""
    if core is None or not carries:
        return FormerModuli(0.0, 0.0)
    return FormerModuli(core.e_inplane_mpa * MPA, core_shear_moduli(core, 0.0)[0])


def lying_on(layers: Iterable[ResolvedLayer], part: PartOfSection) -> list[ResolvedLayer]:
    """The lines that lie on a part of a section, partial ones too."""
    return [layer for layer in layers if layer.layer.on in (part, "all")]


def part_of_section(layers: Iterable[ResolvedLayer], axis: int = 0) -> SectionPart:
    """The full lines of a layup as a part of a section, along x (axis 0) or y (axis 1) of their zone."""
    full = tuple(layer for layer in layers if layer.full)
    a = sum((one.layer.plies * _in_plane(one) for one in full), np.zeros((3, 3)))
    return SectionPart(full, axis, wall_of(strips_of(full, axis)), inverse(a), _bare(full))


def _bare(layers: Sequence[ResolvedLayer]) -> tuple[float, float]:
    bounds = np.cumsum([0.0, *(r.plies.total_m * r.layer.plies for r in layers)]).tolist()
    structural = [n for n, r in enumerate(layers) if not isinstance(r.material, Coating)]
    return (bounds[structural[0]], bounds[structural[-1] + 1]) if structural else (0.0, 0.0)


def strips_of(layers: Iterable[ResolvedLayer], axis: int = 0) -> list[Strip]:
    """The full lines of a layup as strips along x (axis 0) or y (axis 1) of their zone, mould side first."""
    return [_strip(layer, axis) for layer in layers if layer.full]


def _in_plane(resolved: ResolvedLayer) -> FloatArray:
    """A of one ply of a line."""
    return np.asarray(np.einsum("k,kij->ij", resolved.plies.thickness_m, resolved.plies.q_bar_pa))


def _strip(resolved: ResolvedLayer, axis: int) -> Strip:
    plies = resolved.plies
    compliance = inverse(_in_plane(resolved))[axis, axis]
    modulus = 1 / (plies.total_m * compliance) if compliance > 0 else 0.0
    return float(modulus), plies.total_m * resolved.layer.plies


def wall_of(strips: Sequence[Strip]) -> Wall:
    """The lines of a layup as one wall."""
    return wall(*(np.array([strip[k] for strip in strips], dtype=float) for k in (0, 1)))


def composite_section(
    zone: Zone,
    shape: HatShape,
    layers: Sequence[ResolvedLayer],
    moduli: FormerModuli,
    attached: Sequence[ResolvedLayer],
) -> StiffenerSection | None:
    """The composite section; None where nothing in it carries."""
    crown, web, flange = (part_of_section(lying_on(layers, on)) for on in ("crown", "webs", "flanges"))
    around = hat(shape, crown.wall, web.wall, flange.wall)
    groups, names = [around, former(shape, moduli.e_pa)], list(PIECES)
    plate = attached_part(zone, attached) if attached and zone.effective_width_mm is not None else None
    if plate is not None:
        groups.insert(0, _plating(plate, zone.effective_width_mm or 0.0))
        names.insert(0, "attached zone")
    whole = joined(*groups)
    if whole.ea.sum() <= 0:
        return None
    stiffness, height = bending_stiffness(whole)
    pieces = tuple(map(SectionPiece, names, whole.ea.tolist(), whole.height_m.tolist(), whole.ei.tolist()))
    return StiffenerSection(
        shape, crown, web, flange, plate, moduli, float(stiffness), float(height), pieces
    )  # fmt: skip


def _plating(plate: SectionPart, width_mm: float) -> Parts:
    axis = plate.wall.axis_m - plate.wall.thickness_m
    return plating(plate.wall.ea, plate.wall.ei, axis, width_mm * MM)


def attached_part(zone: Zone, attached: Sequence[ResolvedLayer]) -> SectionPart:
    """The attached zone along the stiffener: by the axis stated, else by the one that carries less."""
    along = {"x": part_of_section(attached, 0), "y": part_of_section(attached, 1)}
    if zone.attached_axis is not None:
        return along[zone.attached_axis]
    return min(along.values(), key=lambda part: part.wall.ea)
