"""The figures of a stiffener beyond its weight, and what keeps them from being computed."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from recipe_track.figures.beam import beam_response
from recipe_track.figures.cases import Resolved
from recipe_track.figures.materials import material_of
from recipe_track.figures.section import StiffenerSection, composite_section, former_moduli, shape_of
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Core


@dataclass(frozen=True, slots=True)
class StiffenerFigures:
    """What the section of a stiffener and its beam show; the neutral axis is above the attached face."""

    ei_stiffener_kn_m2: float | None = None
    neutral_axis_mm: float | None = None
    section_modulus_crown_cm3: float | None = None
    section_modulus_base_cm3: float | None = None
    ga_web_kn: float | None = None
    beam_deflection_mm: float | None = None
    beam_strain_use: float | None = None
    web_shear_use: float | None = None
    frequency_hz: float | None = None
    governs: Mapping[str, str] = field(default_factory=dict)
    not_checked: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def stiffener_figures(resolved: Resolved) -> StiffenerFigures:
    """The section of a stiffener with its former and the plating it stands on, and its beam."""
    section = stiffener_section(resolved)
    notes = tuple(stiffener_notes(resolved))
    if section is None:
        return StiffenerFigures(notes=notes)
    beam = beam_response(resolved, section)
    uses = {"beam_strain_use": beam.strain, "web_shear_use": beam.web_shear}
    return StiffenerFigures(
        section.ei_n_m2 * 1e-3,
        section.neutral_axis_m * 1e3,
        section.modulus_crown_m3 * 1e6 or None,
        section.modulus_base_m3 * 1e6 or None,
        section.ga_web_n * 1e-3,
        None if beam.deflection_m is None else beam.deflection_m * 1e3,
        beam.strain.use if beam.strain is not None else None,
        beam.web_shear.use if beam.web_shear is not None else None,
        beam.frequency_hz,
        {key: use.governs for key, use in uses.items() if use is not None},
        beam.not_checked,
        (*notes, *beam.notes),
    )


def stiffener_section(resolved: Resolved) -> StiffenerSection | None:
    """The composite section of a stiffener; None where nothing states its shape."""
    zone = resolved.case.zone
    shape = shape_of(zone) if zone.form == "stiffener" else None
    if shape is None:
        return None
    former, materials = zone.former, resolved.case.materials
    core = material_of(materials, former.material, Core) if former is not None else None
    moduli = former_moduli(core, former is not None and former.carries)
    return composite_section(zone, shape, resolved.layers, moduli, resolved.attached)


def stiffener_notes(resolved: Resolved) -> Iterator[str]:
    """Why a stiffener has no EI, or what was left out of it."""
    zone = resolved.case.zone
    if zone.form != "stiffener":
        return
    if zone.former is None and zone.section is None:
        yield "a stiffener without a former has no stated section: weight and cost only"
        return
    if shape_of(zone) is None:
        yield "the girth does not reach around the former: no EI of the section"
        return
    yield from _plating_notes(zone, resolved)
    left_out = [str(layer.line) for layer in resolved.layers if not layer.full]
    if left_out:
        yield f"EI of the section leaves out layers of partial coverage: {', '.join(left_out)}"
    if zone.effective_width_mm and any(r.full and isinstance(r.material, Core) for r in resolved.attached):
        yield "both skins of the sandwich it stands on count fully, which overstates EI"


def _plating_notes(zone: Zone, resolved: Resolved) -> Iterator[str]:
    if zone.attached is None:
        yield "EI of the section alone: it is attached to no zone"
    elif zone.effective_width_mm is None:
        yield "EI of the section alone: no effective width of the attached zone is stated"
    elif not resolved.attached:
        yield f"EI of the section alone: the attached zone `{zone.attached}` is not at hand"
    elif zone.attached_axis is None:
        yield "the attached zone counts with its weaker direction: no `attached_axis` is stated"
