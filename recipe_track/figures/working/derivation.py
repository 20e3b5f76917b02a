"""The whole derivation of a zone, from what is written to its figures."""

from collections.abc import Iterator

from recipe_track.figures.cases import Resolved, ZoneCase, resolve_zone
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.stack import laminates_of
from recipe_track.figures.working.inputs import data_sources, input_sections
from recipe_track.figures.working.laminate import laminate_sections
from recipe_track.figures.working.lines import CalculationSheet, Chapter
from recipe_track.figures.working.panel import panel_sections
from recipe_track.figures.working.plies import ply_sections
from recipe_track.figures.working.sources import cited
from recipe_track.figures.working.stiffener import stiffener_sections
from recipe_track.figures.working.weights import weight_sections
from recipe_track.figures.zone import zone_figures


def working_of(case: ZoneCase) -> CalculationSheet:
    """The calculation sheet of one zone.

    Raises NotComputable where the recipe is not complete.
    """
    figures = zone_figures([case])[0]
    resolved = resolve_zone(case, {})
    sections = tuple(_sections(resolved, figures))
    unchecked = tuple(f"not checked: {what}" for what in figures.not_checked)
    references = tuple(cited(section.source for section in sections))
    return CalculationSheet(
        case.name, case.zone.name, case.zone.form, sections, (*figures.notes, *unchecked),
        references, data_sources(resolved),
    )  # fmt: skip


def _sections(resolved: Resolved, figures: ZoneFigures) -> Iterator[Chapter]:
    yield from input_sections(resolved)
    yield from ply_sections(resolved)
    if resolved.stack is not None:
        laminates = laminates_of([resolved.stack])
        yield from laminate_sections(resolved, laminates)
        yield from panel_sections(resolved, laminates, figures)
    yield from stiffener_sections(resolved)
    yield from weight_sections(resolved)
