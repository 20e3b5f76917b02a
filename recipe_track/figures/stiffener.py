"""The figures of a stiffener beyond its weight, and what keeps them from being computed."""

from collections.abc import Iterator
from dataclasses import dataclass

from recipe_track.figures.cases import Resolved
from recipe_track.figures.materials import material_of
from recipe_track.figures.section import (
    StiffenerSection,
    attached_strips,
    composite_section,
    outline_of,
    strips_of,
)
from recipe_track.recipe.materials import Core


@dataclass(frozen=True, slots=True)
class StiffenerFigures:
    """EI of the section; the height of its neutral axis above the bag face of the attached zone."""

    ei_stiffener_kn_m2: float | None = None
    neutral_axis_mm: float | None = None
    notes: tuple[str, ...] = ()


def stiffener_figures(resolved: Resolved) -> StiffenerFigures:
    """EI of a stiffener with its former and the effective width of the zone it stands on."""
    section = stiffener_section(resolved)
    notes = tuple(stiffener_notes(resolved))
    if section is None:
        return StiffenerFigures(notes=notes)
    return StiffenerFigures(section.ei_n_m2 * 1e-3, section.neutral_axis_m * 1e3, notes)


def stiffener_section(resolved: Resolved) -> StiffenerSection | None:
    """The composite section of a stiffener; None where no former gives it a shape."""
    zone = resolved.case.zone
    if zone.form != "stiffener" or zone.former is None:
        return None
    shape = outline_of(zone.former, zone.girth_mm or 0.0)
    if shape is None:
        return None
    core = material_of(resolved.case.materials, zone.former.material, Core)
    beneath = attached_strips(zone, resolved.attached)
    return composite_section(zone, shape, strips_of(resolved.layers), core, beneath)


def stiffener_notes(resolved: Resolved) -> Iterator[str]:
    """Why a stiffener has no EI, or what was left out of it."""
    zone = resolved.case.zone
    if zone.form != "stiffener":
        return
    if zone.former is None:
        yield "a stiffener without a former has no stated section: weight and cost only"
        return
    if outline_of(zone.former, zone.girth_mm or 0.0) is None:
        yield "the girth does not reach around the former: no EI of the section"
        return
    if zone.attached is None:
        yield "EI of the section alone: it is attached to no zone"
    elif zone.effective_width_mm is None:
        yield "EI of the section alone: no effective width of the attached zone is stated"
    elif not resolved.attached:
        yield f"EI of the section alone: the attached zone `{zone.attached}` is not at hand"
    elif zone.attached_axis is None:
        yield "the attached zone counts with its weaker direction: no `attached_axis` is stated"
    left_out = [str(layer.line) for layer in resolved.layers if not layer.full]
    if left_out:
        yield f"EI of the section leaves out layers of partial coverage: {', '.join(left_out)}"
