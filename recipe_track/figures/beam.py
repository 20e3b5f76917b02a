"""A stiffener as a beam under the pressure on the plating it carries, handed to mechanics."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.costs import stack_kg_m2
from recipe_track.figures.limits import Use
from recipe_track.figures.plies import ResolvedLayer, line_words
from recipe_track.figures.section import SectionPart, StiffenerSection
from recipe_track.figures.si import KPA, MM
from recipe_track.mechanics import beam as mechanics
from recipe_track.mechanics.arrays import BoolArray, FloatArray
from recipe_track.mechanics.margins import MODES
from recipe_track.mechanics.section import flow_moment
from recipe_track.recipe.layup import Beam
from recipe_track.recipe.materials import Reinforcement

NOT_CHECKED = (
    "bond of the flanges",
    "buckling of webs and crown",
    "the plating's own bending on top",
)
FACES = ("lower face", "upper face")


@dataclass(frozen=True, slots=True)
class BeamResponse:
    """What a beam does; None where the stiffener states none, or nothing is known to hold it against."""

    deflection_m: float | None = None
    strain: Use | None = None
    web_shear: Use | None = None
    frequency_hz: float | None = None
    not_checked: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def beam_of(stated: Beam, section: StiffenerSection) -> mechanics.Beam:
    """The beam in SI units."""
    load = stated.pressure_kpa * KPA * stated.load_width_mm * MM
    return mechanics.Beam(
        load, stated.span_mm * MM, section.ei_n_m2, section.ga_web_n, stated.ends == "clamped"
    )  # fmt: skip


def beam_response(resolved: Resolved, section: StiffenerSection) -> BeamResponse:
    """Deflection, uses and frequency of a stiffener that states a beam."""
    stated = resolved.case.zone.beam
    if stated is None:
        return BeamResponse()
    if section.ga_web_n <= 0:
        return BeamResponse(notes=("nothing carries shear in the webs: the beam is not computed",))
    beam = beam_of(stated, section)
    frequency = mechanics.beam_frequency(beam, mass_kg_per_m(resolved, stated))
    return BeamResponse(
        sum(mechanics.beam_deflection(beam)),
        strain_use(resolved, section, beam),
        shear_use(section, beam),
        frequency,
        (*NOT_CHECKED, *_without_strains(resolved, section)),
    )


def mass_kg_per_m(resolved: Resolved, stated: Beam) -> float:
    """The stiffener, the plating over the load width, and what that carries [kg/m]."""
    own = sum(quantity.kg for quantity in resolved.quantities) / (resolved.case.zone.length_m or 1.0)
    return own + stack_kg_m2(resolved.attached) * stated.load_width_mm * MM + stated.carried_kg_m


@dataclass(frozen=True, slots=True, eq=False)
class CheckedPly:
    """A ply direction with design strains, where it lies in words and by its heights over the neutral axis.

    `sideways` are the strains of its stack at a strain of 1 along the stiffener; `check` is angle, random and
    limits in a row.
    """

    layer: ResolvedLayer
    where: str
    height_m: tuple[float, float]
    sideways: FloatArray
    check: FloatArray


def strain_use(resolved: Resolved, section: StiffenerSection, beam: mechanics.Beam) -> Use | None:
    """Greatest strain of any ply against its limits where the beam bends most; None where none has limits."""
    plies = list(checked_plies(resolved, section))
    if not plies:
        return None
    angle, random, limits = _columns([ply.check for ply in plies])
    found = mechanics.beam_strain_use(
        mechanics.greatest_moment(beam) / beam.ei_n_m2,
        np.array([ply.height_m for ply in plies]),
        np.array([ply.sideways for ply in plies]),
        angle,
        random,
        limits,
    )
    if found.ply < 0:
        return None
    ply, place = plies[found.ply], "at the ends" if beam.clamped else "in the middle"
    words = f"{line_words(ply.layer)} {ply.where}, {FACES[found.face]}, {place}: {MODES[found.mode]}"
    limit = float(limits[found.ply, found.mode])
    return Use(found.use * limit, limit, words)


def shear_use(section: StiffenerSection, beam: mechanics.Beam) -> Use | None:
    """Greatest strain of any ply of the webs under the shear at the ends; None where none has limits."""
    layers = [layer for layer in section.web.layers for _ in layer.plies.checks]
    if not layers:
        return None
    angle, random, limits = _columns(np.concatenate([r.plies.checks for r in section.web.layers])[:, 1:])
    flow = web_flow(section, beam)
    found = mechanics.web_shear_use(flow, section.web.compliance, angle, random, limits)
    if found.ply < 0:
        return None
    limit = float(limits[found.ply, found.mode])
    words = f"{line_words(layers[found.ply])} in a web, at the ends: {MODES[found.mode]}"
    return Use(found.use * limit, limit, words)


def web_flow(section: StiffenerSection, beam: mechanics.Beam) -> float:
    """Greatest shear flow in one web, at the ends of the beam [N/m]."""
    moment = flow_moment(
        section.shape, section.crown.wall, section.web.wall, section.former.e_pa, section.neutral_axis_m
    )
    return beam.load_n_per_m * beam.span_m / 2 * moment / (2 * beam.ei_n_m2)


def _columns(checks: Sequence[FloatArray] | FloatArray) -> tuple[FloatArray, BoolArray, FloatArray]:
    """Angle, random and limits of rows of checks."""
    table = np.array(checks)
    return table[:, 0], table[:, 1] > 0, table[:, 2:]


def checked_plies(resolved: Resolved, section: StiffenerSection) -> Iterator[CheckedPly]:
    """The ply directions of a section that have design strains, plating first."""
    axis, height = section.neutral_axis_m, section.shape.height_m
    if section.plating is not None:
        foot = -section.plating.wall.thickness_m - axis
        yield from _stacked(section.plating, f"of {resolved.case.zone.attached}", foot)
    yield from _stacked(section.crown, "on the crown", height - axis)
    for ply in _stacked(section.web, "in a web", 0.0):
        yield CheckedPly(ply.layer, ply.where, (-axis, height - axis), ply.sideways, ply.check)
    if section.shape.flange_m > 0:
        yield from _stacked(section.flange, "on a flange", -axis)


def _stacked(part: SectionPart, where: str, first_m: float) -> Iterator[CheckedPly]:
    """The plies of a part one above the other, from a height over the neutral axis."""
    along = part.compliance[:, part.axis]
    sideways = along / along[part.axis] if along[part.axis] > 0 else along
    at = first_m
    for layer in part.layers:
        bounds = np.concatenate([[0.0], np.cumsum(layer.plies.thickness_m)])
        for _ in range(layer.layer.plies):
            for check in layer.plies.checks:
                ply = int(check[0])
                faces = (float(at + bounds[ply]), float(at + bounds[ply + 1]))
                yield CheckedPly(layer, where, faces, sideways, check[1:])
            at += layer.plies.total_m


def _without_strains(resolved: Resolved, section: StiffenerSection) -> Iterator[str]:
    """The fabrics of a section that have no design strains to be held against."""
    plating = section.plating.layers if section.plating is not None else ()
    for layers, of in ((plating, f" of {resolved.case.zone.attached}"), (resolved.layers, "")):
        for layer in layers:
            if layer.full and isinstance(layer.material, Reinforcement) and not len(layer.plies.checks):
                yield f"strain of {line_words(layer)}{of}"
