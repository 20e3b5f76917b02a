"""What each layer gives: its plies, its place in the section, its weight and cost, the zone without it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from recipe_track.figures.cases import Resolved, ZoneCase, resolve_zone
from recipe_track.figures.costs import built_in_cost
from recipe_track.figures.fabric import SubPly
from recipe_track.figures.plies import LayerPlies, ResolvedLayer, resolve_layers
from recipe_track.figures.results import (
    DirectionFigures,
    EngineeringConstants,
    LayerFigures,
    LayerLook,
    SectionLayer,
    WithoutLayer,
    ZoneFigures,
    ZoneLayers,
)
from recipe_track.figures.section import lying_on
from recipe_track.figures.stiffener import stiffener_figures
from recipe_track.figures.zone import zone_figures
from recipe_track.mechanics.laminate import Stiffness, engineering_constants, ply_bounds
from recipe_track.mechanics.ply import reduced_stiffness, rotated_stiffness
from recipe_track.recipe.layup import SECTION_PARTS, Layer, PartOfSection, Section, section_stated
from recipe_track.recipe.materials import Coating, Core, Reinforcement

Axes = tuple[float | None, float | None]


def layer_figures(cases: Sequence[ZoneCase]) -> tuple[ZoneLayers, ...]:
    """What each layer of each zone gives; every zone with one line left out is computed in the same pass."""
    whole = zone_figures(cases)
    variants = [variant for case in cases for variant in _each_left_out(case)]
    computed = iter(zone_figures(variants, with_margins=False))
    return tuple(
        _zone_layers(case, figures, [next(computed) for _ in case.zone.layup])
        for case, figures in zip(cases, whole, strict=True)
    )


def _each_left_out(case: ZoneCase) -> list[ZoneCase]:
    layup = case.zone.layup
    return [
        replace(case, zone=case.zone.model_copy(update={"layup": (*layup[:n], *layup[n + 1 :])}))
        for n in range(len(layup))
    ]


def _zone_layers(case: ZoneCase, whole: ZoneFigures, without: Sequence[ZoneFigures]) -> ZoneLayers:
    resolved = resolve_zone(case, {})
    distances = distances_mm(resolved)
    return ZoneLayers(
        whole,
        tuple(
            _layer_figures(resolved, n, distances[n], rest)
            for n, rest in enumerate(without)
        ),
    )  # fmt: skip


def distances_mm(resolved: Resolved) -> list[Axes]:
    """From the neutral axes for bending along x and y to the middle of each line [mm]."""
    stack = resolved.stack
    if stack is None:
        return [(None, None)] * len(resolved.layers)
    bounds = ply_bounds(stack.thickness_m)
    middle = (bounds[:-1] + bounds[1:]) / 2
    ea = stack.q_bar_pa[:, (0, 1), (0, 1)] * stack.thickness_m[:, None]
    axes = (middle @ ea) / ea.sum(axis=0)
    place = np.array(stack.layer_of)
    centres = [
        (bounds[:-1][place == n].min() + bounds[1:][place == n].max()) / 2 if n in place else None
        for n in range(len(resolved.layers))
    ]
    return [_between(centre, axes) for centre in centres]


def _between(centre_m: float | None, axes_m: np.ndarray) -> Axes:
    if centre_m is None:
        return None, None
    x, y = (float(centre_m - axis) * 1e3 for axis in axes_m)
    return x, y


def _layer_figures(resolved: Resolved, n: int, distances: Axes, without: ZoneFigures) -> LayerFigures:
    line = resolved.layers[n]
    layer, sub_plies = line.layer, line.plies.sub_plies
    return LayerFigures(
        line=line.line,
        material=layer.material,
        kind=line.material.kind,
        plies=layer.plies,
        angle_deg=layer.angle_deg,
        flipped=layer.flipped,
        on=layer.on,
        coverage_fraction=layer.coverage_fraction,
        thickness_mm=float(line.plies.thickness_m.sum()) * layer.plies * 1e3,
        fibre_volume_fraction=_mean_volume_fraction(sub_plies),
        void_fraction=line.plies.void_fraction if sub_plies else None,
        fabric=_fabric_constants(layer, sub_plies),
        directions=tuple(map(_direction, sub_plies)),
        distance_x_mm=distances[0],
        distance_y_mm=distances[1],
        mass_kg=sum(q.kg for q in resolved.quantities if q.line == line.line),
        cost=_cost(resolved, line),
        without=WithoutLayer(
            without.mass_kg, without.cost, without.ei_x_kn_m2_per_m, without.ei_y_kn_m2_per_m,
            without.deflection_mm, without.ei_stiffener_kn_m2, without.beam_deflection_mm,
        ),
    )  # fmt: skip


def _fabric_constants(layer: Layer, sub_plies: Sequence[SubPly]) -> EngineeringConstants | None:
    """Constants of a fabric, all its directions together and held flat, x along its own 0°."""
    if not sub_plies:
        return None
    rows = [[s.e1_pa, s.e2_pa, s.g12_pa, s.nu12, s.angle_rad, s.thickness_m] for s in sub_plies]
    e1, e2, g12, nu12, angle, thickness = np.array(rows).T
    q_bar = rotated_stiffness(reduced_stiffness(e1, e2, g12, nu12), angle - np.radians(layer.angle_deg))
    flat = Stiffness(np.einsum("k,kij->ij", thickness, q_bar), np.zeros((3, 3)), np.zeros((3, 3)))
    found = engineering_constants(flat, thickness.sum())
    ex, ey, gxy = (float(value) * 1e-9 for value in (found.ex_pa, found.ey_pa, found.gxy_pa))
    return EngineeringConstants(ex, ey, gxy, float(found.nu_xy))


def _mean_volume_fraction(sub_plies: Sequence[SubPly]) -> float | None:
    total = sum(s.thickness_m for s in sub_plies)
    return sum(s.fibre_volume_fraction * s.thickness_m for s in sub_plies) / total if sub_plies else None


def _direction(ply: SubPly) -> DirectionFigures:
    return DirectionFigures(
        angle_deg=None if ply.random else float(np.degrees(ply.angle_rad)),
        thickness_mm=ply.thickness_m * 1e3,
        fibre_volume_fraction=ply.fibre_volume_fraction,
        e1_gpa=ply.e1_pa * 1e-9,
        e2_gpa=ply.e2_pa * 1e-9,
        g12_gpa=ply.g12_pa * 1e-9,
        nu12=ply.nu12,
    )


def _cost(resolved: Resolved, line: ResolvedLayer) -> float | None:
    case = resolved.case
    if case.prices is None:
        return None
    built_in = (q for q in resolved.quantities if q.line == line.line)
    return sum(built_in_cost(q, case.part, case.prices).total for q in built_in)


def section_of(case: ZoneCase) -> tuple[SectionLayer, ...]:
    """The lines of a zone's layup from mould side to bag side; none for a joint.

    Raises NotComputable where a material, a fibre mass fraction or a core uptake is missing.
    """
    known: dict[object, LayerPlies] = {}
    return tuple(map(_layer, resolve_layers(case.zone.layup, case.part, case.materials, known)))


@dataclass(frozen=True, slots=True)
class HatLayers:
    """A stiffener's section with the lines on each of its parts, from the former outwards.

    `plating` is what it stands on, mould side first, over its effective width.
    """

    section: Section
    filled: bool
    parts: Mapping[PartOfSection, tuple[SectionLayer, ...]]
    plating: tuple[SectionLayer, ...]
    effective_width_mm: float
    neutral_axis_mm: float | None


def hat_of(case: ZoneCase) -> HatLayers | None:
    """A stiffener as it is drawn; None where nothing states its section.

    Raises NotComputable as `section_of` does.
    """
    section = section_stated(case.zone)
    if section is None:
        return None
    resolved = resolve_zone(case, {})
    parts = {on: tuple(map(_layer, lying_on(resolved.layers, on))) for on in SECTION_PARTS}
    width = case.zone.effective_width_mm or 0.0
    plating = tuple(map(_layer, resolved.attached)) if width else ()
    axis = stiffener_figures(resolved).neutral_axis_mm
    return HatLayers(section, case.zone.former is not None, parts, plating, width, axis)


def _layer(resolved: ResolvedLayer) -> SectionLayer:
    thickness = float(resolved.plies.thickness_m.sum()) * 1e3 * resolved.layer.plies
    layer = resolved.layer
    return SectionLayer(resolved.line, layer.material, _look(resolved), thickness, resolved.full, layer.on)


def _look(resolved: ResolvedLayer) -> LayerLook:
    material = resolved.material
    if isinstance(material, Coating):
        return "coating"
    if isinstance(material, Core):
        return "core"
    assert isinstance(material, Reinforcement)
    return "mat" if all(d.random for d in material.directions) else "fabric"
