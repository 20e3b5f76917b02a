"""The whole derivation of a zone, from what is written to its figures."""

from collections.abc import Iterator

from recipe_track.figures.cases import Resolved, ZoneCase, resolve_zone
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.stack import laminates_of
from recipe_track.figures.working.inputs import input_sections
from recipe_track.figures.working.laminate import laminate_sections
from recipe_track.figures.working.lines import CalculationSheet, Chapter
from recipe_track.figures.working.panel import panel_sections
from recipe_track.figures.working.plies import ply_sections
from recipe_track.figures.working.stiffener import stiffener_sections
from recipe_track.figures.working.weights import weight_sections
from recipe_track.figures.zone import zone_figures


def working_of(case: ZoneCase) -> CalculationSheet:
    """The calculation sheet of one zone.

    Raises NotComputable where the recipe is not complete.
    """
    figures = zone_figures([case])[0]
    sections = tuple(_sections(resolve_zone(case, {}), figures))
    return CalculationSheet(case.name, case.zone.name, case.zone.form, sections, figures.notes)


def _sections(resolved: Resolved, figures: ZoneFigures) -> Iterator[Chapter]:
    yield from input_sections(resolved)
    yield from ply_sections(resolved)
    if resolved.stack is not None:
        laminates = laminates_of([resolved.stack])
        yield from laminate_sections(resolved, laminates)
        yield from panel_sections(resolved, laminates, figures)
    yield from stiffener_sections(resolved)
    yield from weight_sections(resolved)
