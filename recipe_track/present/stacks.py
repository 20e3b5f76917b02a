"""Two stacks side by side, row by row, with the section to scale beside them."""

from collections.abc import Collection, Iterator
from itertools import zip_longest
from typing import TYPE_CHECKING

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.figures.slices import SectionLayer, section_of
from recipe_track.impact.outcome import ZoneImpact
from recipe_track.present.layers import layer_words, row_sign
from recipe_track.present.section import LEGEND, side_by_side
from recipe_track.present.units import signed_quantity
from recipe_track.procedures.comparison import Comparison, Side

if TYPE_CHECKING:
    from rich.console import RenderableType

FEWEST_ROWS = 8


def stack_tables(zone: ZoneImpact, comparison: Comparison) -> "Iterator[RenderableType]":
    """A table of the aligned layers, mould side first, and the sections at one scale."""
    from rich.table import Table
    from rich.text import Text

    if not zone.layers:
        return
    sections = sections_of(zone, comparison)
    mats = {layer.material for section in sections for layer in section if layer.look == "mat"}
    drawn, scale = side_by_side(*sections, max(FEWEST_ROWS, len(zone.layers)))
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    heads = ("  ", comparison.before.revision.shown, comparison.after.revision.shown, "mass", "section")
    for head in heads:
        table.add_column(Text(head), overflow="fold", justify="right" if head == "mass" else "left")
    for cells, slice_ in zip_longest(layer_cells(zone, mats), drawn, fillvalue=None):
        table.add_row(*(Text(cell) for cell in (*(cells or ("", "", "", "")), slice_ or "")))
    yield table
    yield f"  mould side on top · {scale.words}, what is thinner takes a row too"
    yield f"  {LEGEND}"


def layer_cells(zone: ZoneImpact, mats: Collection[str]) -> list[tuple[str, str, str, str]]:
    """Per row: its sign, the layer before, the layer after, what it does to the mass."""
    masses = {edit.row: edit.effects["mass_kg"] for edit in zone.edits if "mass_kg" in edit.effects}
    return [
        (
            row_sign(row),
            layer_words(row.before, mats),
            layer_words(row.after, mats),
            signed_quantity("mass_kg", masses[n]) if n in masses else "",
        )
        for n, row in enumerate(zone.layers)
    ]


def sections_of(
    zone: ZoneImpact, comparison: Comparison
) -> tuple[tuple[SectionLayer, ...], tuple[SectionLayer, ...]]:
    """The section of a zone on either side; empty where the zone does not exist."""
    return (
        _section(comparison.before, comparison.model, zone.before_zone),
        _section(comparison.after, comparison.model, zone.zone if zone.status != "removed" else None),
    )


def _section(side: Side, model: str, name: str | None) -> tuple[SectionLayer, ...]:
    case = _case(side, model, name)
    return section_of(case) if case is not None else ()


def _case(side: Side, model: str, name: str | None) -> ZoneCase | None:
    tree = side.snapshot.models.get(model)
    cases = zone_cases(side.snapshot, tree) if tree else []
    return next((case for case in cases if case.name == name), None)
