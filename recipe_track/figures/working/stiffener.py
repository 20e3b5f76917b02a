"""The section of a stiffener, worked out."""

from collections.abc import Iterator

from recipe_track.figures.cases import Resolved
from recipe_track.figures.section import StiffenerSection, outline_of
from recipe_track.figures.stiffener import stiffener_section
from recipe_track.figures.working.lines import Chapter, Line, Value, derived

METHOD = (
    "composite section about its neutral axis, strength of materials (from memory); rectangular former on "
    "the bag face of the attached zone, two webs, crown, flanges of what is left of the girth, no corners; "
    "each line with its own modulus along the stiffener, 1/(t (A⁻¹)11)"
)


def stiffener_sections(resolved: Resolved) -> Iterator[Chapter]:
    """The outline, every rectangle of the section, and what they make together."""
    section = stiffener_section(resolved)
    if section is not None:
        lines = (*_outline_lines(resolved), *_piece_lines(section))
        yield Chapter("Section of the stiffener", lines, METHOD)


def _outline_lines(resolved: Resolved) -> Iterator[Line]:
    zone = resolved.case.zone
    assert zone.former is not None
    assert zone.girth_mm is not None
    outline = outline_of(zone.former, zone.girth_mm)
    assert outline is not None
    area, height = Value("S", zone.former.section_mm2, "mm²"), Value("h", outline.height_m * 1e3, "mm")
    width = Value("b", outline.crown_m * 1e3, "mm")
    if zone.former.height_mm is None:
        yield derived("height of a square former", "h", "√({S})", height.number, "mm", area)
    yield derived("width of the former", "b", "{S} / {h}", width.number, "mm", area, height)
    girth = Value("g", zone.girth_mm, "mm")
    if outline.flange_m:
        formula, flange = "({g} − 2 · {h} − {b}) / 2", outline.flange_m * 1e3
        yield derived("each flange", "f", formula, flange, "mm", girth, height, width)
    else:
        yield Line("each flange", 0.0, "mm", "f", "nothing is left of the girth")


def _piece_lines(section: StiffenerSection) -> Iterator[Line]:
    for piece in section.pieces:
        if piece.ea_n:
            parts = f"EA = {piece.ea_n * 1e-3:.6g} kN, own EI = {piece.own_ei_n_m2 * 1e-3:.6g} kN·m²"
            yield Line(f"{piece.what}, axis above the attached face", piece.height_m * 1e3, "mm", "z", parts)
    yield Line("neutral axis above it", section.neutral_axis_m * 1e3, "mm", "z0", "Σ EA z / Σ EA")
    yield Line("about it", section.ei_n_m2 * 1e-3, "kN·m²", "EI", "Σ (own EI + EA (z − z0)²)")
