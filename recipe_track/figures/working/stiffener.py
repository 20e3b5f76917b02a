"""The section of a stiffener and its beam, worked out."""

from collections.abc import Iterator
from dataclasses import replace
from math import inf

from recipe_track.figures.beam import beam_of, mass_kg_per_m, web_flow
from recipe_track.figures.cases import Resolved
from recipe_track.figures.section import SectionPart, StiffenerSection
from recipe_track.figures.stiffener import stiffener_figures, stiffener_section
from recipe_track.figures.working.lines import Chapter, Grid, Line, Value, derived, rows
from recipe_track.mechanics.beam import Beam as BeamSI
from recipe_track.mechanics.beam import beam_deflection, beam_frequency, greatest_moment
from recipe_track.mechanics.section import web_length
from recipe_track.recipe.layup import Beam, Section, Zone, section_stated

METHOD = (
    "parallel axes, Timoshenko 1955; hat on the bag face of the attached zone, laminate outside the former, "
    "no corners; each line with its own modulus along the stiffener, 1/(t (A⁻¹)11)"
)
BEAM = (
    "Roark 2002, table of beams; shear flow, Timoshenko 1955; Blevins 1979, shear added after S. Dunkerley; "
    "uses are the greatest of all ply directions at both faces, all limits, bent either way"
)


def stiffener_sections(resolved: Resolved) -> Iterator[Chapter]:
    """The outline, every part of the section, what they make together, and the beam."""
    section, zone = stiffener_section(resolved), resolved.case.zone
    if section is None:
        return
    lines = (*_outline_lines(zone), *_sum_lines(section), *_modulus_lines(section), *_web_lines(section))
    yield Chapter("Section of the stiffener", lines, METHOD, _piece_grid(section))
    if zone.beam is not None and section.ga_web_n > 0:
        yield Chapter("Beam", tuple(_beam_lines(resolved, zone.beam, section)), BEAM)


def _outline_lines(zone: Zone) -> Iterator[Line]:
    section = section_stated(zone)
    assert section is not None
    if zone.section is not None:
        yield from _hat_lines(section)
        return
    assert zone.former is not None
    assert zone.girth_mm is not None
    area = Value("S", zone.former.section_mm2 or 0.0, "mm²")
    height, width = Value("h", section.height_mm, "mm"), Value("b", section.crown_mm, "mm")
    if zone.former.height_mm is None:
        yield derived("height of a square former", "h", "√({S})", height.number, "mm", area)
    yield derived("width of the former", "b", "{S} / {h}", width.number, "mm", area, height)
    girth = Value("g", zone.girth_mm, "mm")
    if section.flange_mm:
        formula = "({g} − 2 · {h} − {b}) / 2"
        yield derived("each flange", "f", formula, section.flange_mm, "mm", girth, height, width)
    else:
        yield Line("each flange, nothing is left of the girth", 0.0, "mm", "f")


def _hat_lines(section: Section) -> Iterator[Line]:
    crown, base = Value("c", section.crown_mm, "mm"), Value("b", section.base_mm, "mm")
    height, flange = Value("h", section.height_mm, "mm"), Value("f", section.flange_mm, "mm")
    web = Value("ℓ", section.web_mm, "mm")
    yield derived(
        "length of a web", "ℓ", "√({h}^2 + (({b} − {c}) / 2)^2)", web.number, "mm", height, base, crown
    )
    formula = "{c} + 2 · {ℓ} + 2 · {f}"
    yield derived("developed girth", "g", formula, section.girth_mm, "mm", crown, web, flange)


def _piece_grid(section: StiffenerSection) -> Grid:
    """Every piece with its axis above the face of the attached zone."""
    heads = ("piece", "z [mm]", "EA [kN]", "own EI [kN·m²]")
    pieces = [piece for piece in section.pieces if piece.ea_n]
    return Grid(
        heads,
        tuple((p.what, p.height_m * 1e3, p.ea_n * 1e-3, p.own_ei_n_m2 * 1e-3) for p in pieces),
    )


def _sum_lines(section: StiffenerSection) -> Iterator[Line]:
    axis = section.neutral_axis_m * 1e3
    yield Line("neutral axis above the attached face", axis, "mm", "z0", "Σ EA z / Σ EA")
    yield Line("about it", section.ei_n_m2 * 1e-3, "kN·m²", "EI", "Σ (own EI + EA (z − z0)²)")


def _modulus_lines(section: StiffenerSection) -> Iterator[Line]:
    ei, axis = Value("EI", section.ei_n_m2 * 1e-3, "kN·m²"), section.neutral_axis_m
    if section.modulus_crown_m3:
        outer = section.shape.height_m + section.crown.bare[1] - axis
        yield from _modulus_of("crown", section.crown, ei, outer, section.modulus_crown_m3)
    if section.modulus_base_m3 and section.plating is not None:
        outer = axis + section.plating.wall.thickness_m - section.plating.bare[0]
        yield from _modulus_of("plating", section.plating, ei, outer, section.modulus_base_m3)
    elif section.modulus_base_m3:
        outer = axis - section.flange.bare[0]
        yield from _modulus_of("flanges", section.flange, ei, outer, section.modulus_base_m3)


def _modulus_of(what: str, part: SectionPart, ei: Value, outer_m: float, modulus_m3: float) -> Iterator[Line]:
    mean = Value("Em", part.mean_modulus_pa * 1e-9, "GPa")
    width, thickness = Value("EA", part.wall.ea * 1e-6, "kN/mm"), part.bare[1] - part.bare[0]
    t = Value("t", thickness * 1e3, "mm")
    yield derived(f"{what}, mean modulus", "Em", "{EA} / {t}", mean.number, "GPa", width, t)
    given = ei, mean, Value("c", outer_m * 1e3, "mm")
    formula = "1000 · {EI} / ({Em} · {c})"
    yield derived(f"section modulus, {what}", "W", formula, modulus_m3 * 1e6, "cm³", *given)


def _web_lines(section: StiffenerSection) -> Iterator[Line]:
    shape, compliance = section.shape, float(section.web.compliance[2, 2])
    if compliance <= 0:
        return
    gt = Value("Gt", 1e-3 / compliance, "N/mm")
    yield derived(
        "a web in shear", "Gt", "1 / {a66}", gt.number, "N/mm", Value("a66", 1e3 * compliance, "mm/N")
    )
    height = Value("h", shape.height_m * 1e3, "mm")
    slope = Value("ℓ", web_length(shape) * 1e3, "mm")
    area = Value("Af", shape.height_m * (shape.crown_m + shape.base_m) / 2 * 1e6, "mm²")
    g = Value("G", section.former.g_pa * 1e-6, "MPa")
    ga = section.ga_web_n * 1e-3
    if g.number:
        formula, given = "(2 · {Gt} · {h}^2 / {ℓ} + {G} · {Af}) / 1000", (gt, height, slope, g, area)
        yield derived("webs, and the former that carries", "GA", formula, ga, "kN", *given)
    else:
        yield derived("webs", "GA", "2 · {Gt} · {h}^2 / {ℓ} / 1000", ga, "kN", gt, height, slope)


def _beam_lines(resolved: Resolved, stated: Beam, section: StiffenerSection) -> Iterator[Line]:
    figures = stiffener_figures(resolved)
    beam = beam_of(stated, section)
    q = Value("q", beam.load_n_per_m * 1e-3, "N/mm")
    yield derived(
        "load along the stiffener", "q", "{p} · {b} / 1000", q.number, "N/mm",
        Value("p", stated.pressure_kpa, "kPa"), Value("b", stated.load_width_mm, "mm"),
    )  # fmt: skip
    span, ei = Value("L", stated.span_mm, "mm"), Value("EI", beam.ei_n_m2 * 1e-3, "kN·m²")
    ga = Value("GA", beam.ga_n * 1e-3, "kN")
    moment = Value("M", greatest_moment(beam), "N·m")
    part, where = (12, "at the ends") if beam.clamped else (8, "in the middle")
    formula = f"{{q}} · {{L}}^2 / {part} / 1000"
    yield derived(f"greatest moment, {where}", "M", formula, moment.number, "N·m", q, span)
    bent, sheared = (value * 1e3 for value in beam_deflection(beam))
    times = "" if beam.clamped else "5 · "
    formula = f"{times}{{q}} · {{L}}^4 / (384 · {{EI}} · 10^9)"
    yield derived("bent", "wb", formula, bent, "mm", q, span, ei)
    yield derived("sheared", "ws", "{q} · {L}^2 / (8 · {GA} · 1000)", sheared, "mm", q, span, ga)
    both = Value("wb", bent, "mm"), Value("ws", sheared, "mm")
    yield derived("beam deflection", "w", "{wb} + {ws}", figures.beam_deflection_mm or 0.0, "mm", *both)
    yield from _strain_lines(resolved, section, moment, ei, figures.beam_strain_use)
    yield from _shear_lines(section, web_flow(section, beam) * 1e-3, figures.web_shear_use)
    mass = Value("m", mass_kg_per_m(resolved, stated), "kg/m")
    yield from _frequency_lines(beam, mass, (ei, ga, span))


def _strain_lines(
    resolved: Resolved, section: StiffenerSection, moment: Value, ei: Value, use: float | None
) -> Iterator[Line]:
    shape, axis = section.shape, section.neutral_axis_m
    top = Value("z", (shape.height_m + section.crown.wall.thickness_m - axis) * 1e3, "mm")
    strain = moment.number * top.number * 1e-6 / ei.number
    formula = "{M} · {z} / {EI} / 10^6"
    yield derived("strain of the crown's outer face", "εx", formula, strain, "", moment, top, ei)
    if use is not None:
        yield Line("beam strain use", use, "", "use")


def _shear_lines(section: StiffenerSection, flow_n_per_mm: float, use: float | None) -> Iterator[Line]:
    formula = "q L/2 · S/(2 EI), S = Σ EA (z − z0) above z0"
    yield Line("shear flow in a web, at the ends", flow_n_per_mm, "N/mm", "n", formula)
    if use is not None:
        compliance = rows(section.web.compliance * 1e3)
        yield Line("a web, its strain the last column times n", compliance, "mm/N", "A⁻¹")
        yield Line("web shear use", use, "", "use")


def _frequency_lines(beam: BeamSI, mass: Value, stiffness: tuple[Value, Value, Value]) -> Iterator[Line]:
    ei, ga, span = stiffness
    yield Line("stiffener, plating over the load width, carried", mass.number, "kg/m", "m")
    fb = Value("fb", beam_frequency(replace(beam, ga_n=inf), mass.number), "Hz")
    fs = Value("fs", beam_frequency(replace(beam, ei_n_m2=inf), mass.number), "Hz")
    root = "4.730040744862704" if beam.clamped else "π"
    formula = f"{root}^2 / (2 · π) · √({{EI}} · 1000 / {{m}}) / ({{L}} / 1000)^2"
    yield derived("bent alone", "fb", formula, fb.number, "Hz", ei, mass, span)
    formula = "√({GA} · 1000 / {m}) / (2 · {L} / 1000)"
    yield derived("sheared alone", "fs", formula, fs.number, "Hz", ga, mass, span)
    both, hertz = "1 / √(1 / {fb}^2 + 1 / {fs}^2)", beam_frequency(beam, mass.number)
    yield derived("first natural frequency, in air", "f", both, hertz, "Hz", fb, fs)
