"""Two stacks side by side, row by row, with sections drawn to one scale beside them."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

from rich.console import RenderableType

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.figures.layers import section_of
from recipe_track.figures.results import SectionLayer
from recipe_track.impact.effects import ZoneImpact
from recipe_track.present.terminal.tables import TableColumn, table
from recipe_track.present.words.layers import layer_words, row_sign
from recipe_track.present.words.units import rough, signed_quantity
from recipe_track.review.change.comparison import Comparison, Side

LOOK_SIGNS = {"coating": "··", "mat": "▒▒", "fabric": "▓▓", "core": "░░"}
LEGEND = "·· coating  ▒▒ mat  ▓▓ fabric  ░░ core"
NO_LAYER = "  "


@dataclass(frozen=True, slots=True)
class Scale:
    """How many millimetres one row of characters stands for."""

    mm_per_row: float

    @property
    def words(self) -> str:
        """The scale in words."""
        return f"1 row = {rough(self.mm_per_row)} mm"


def scale_for(sections: Sequence[Sequence[SectionLayer]], rows: int) -> Scale:
    """The scale at which the thickest of several sections takes so many rows."""
    thickest = max((sum(s.thickness_mm for s in section if s.full) for section in sections), default=0.0)
    return Scale(thickest / max(rows, 1) or 1.0)


def section_rows(section: Sequence[SectionLayer], scale: Scale) -> list[str]:
    """One string per row, mould side first; what is thinner than a row still takes one."""
    drawn: list[str] = []
    depth = shown = 0.0
    for look, thickness in _bands(section):
        depth += thickness
        rows = max(1, round(depth / scale.mm_per_row - shown))
        shown += rows
        drawn.extend([LOOK_SIGNS[look]] * rows)
    return drawn


def _bands(section: Sequence[SectionLayer]) -> list[tuple[str, float]]:
    """Neighbouring full layers of one look as one band."""
    bands: list[tuple[str, float]] = []
    for layer in section:
        if not layer.full:
            continue
        if bands and bands[-1][0] == layer.look:
            bands[-1] = (layer.look, bands[-1][1] + layer.thickness_mm)
        else:
            bands.append((layer.look, layer.thickness_mm))
    return bands


def side_by_side(
    before: Sequence[SectionLayer], after: Sequence[SectionLayer], rows: int
) -> tuple[list[str], Scale]:
    """Both sections from the mould side down at one scale, and that scale."""
    scale = scale_for([before, after], rows)
    left, right = section_rows(before, scale), section_rows(after, scale)
    height = max(len(left), len(right))
    padded = [column + [NO_LAYER] * (height - len(column)) for column in (left, right)]
    return [f"{a}  {b}" for a, b in zip(*padded, strict=True)], scale


FEWEST_ROWS = 8


def stack_tables(zone: ZoneImpact, comparison: Comparison) -> Iterator[RenderableType]:
    """A table of the aligned layers, mould side first, and the sections at one scale."""
    if not zone.layers:
        return
    sections = sections_of(zone, comparison)
    mats = {layer.material for section in sections for layer in section if layer.look == "mat"}
    drawn, scale = side_by_side(*sections, max(FEWEST_ROWS, len(zone.layers)))
    heads = ("  ", comparison.before.revision.shown, comparison.after.revision.shown, "mass", "section")
    columns = (TableColumn(head, right=head == "mass") for head in heads)
    pairs = zip_longest(layer_cells(zone, mats), drawn, fillvalue=None)
    yield table(columns, ((*(cells or [""] * 4), slice_ or "") for cells, slice_ in pairs), apart=1)
    hat = any(layer.on != "all" for section in sections for layer in section)
    top = "the crown, former on top" if hat else "mould side on top"
    yield f"  {top} · {scale.words}, what is thinner takes a row too"
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
    before, after = (_drawn(case) if case is not None else () for case in cases_of(zone, comparison))
    return before, after


def _drawn(case: ZoneCase) -> tuple[SectionLayer, ...]:
    """The section of a zone; of a stiffener with layers on parts of it, the crown: nowhere do all lie."""
    section = section_of(case)
    return tuple(replace(one, full=one.full and one.on in ("crown", "all")) for one in section)


def cases_of(zone: ZoneImpact, comparison: Comparison) -> tuple[ZoneCase | None, ZoneCase | None]:
    """What a zone is computed from on either side, None where it does not exist."""
    return (
        _case(comparison.before, comparison.model, zone.before_zone),
        _case(comparison.after, comparison.model, zone.zone if zone.status != "removed" else None),
    )


def _case(side: Side, model: str, name: str | None) -> ZoneCase | None:
    tree = side.snapshot.models.get(model)
    cases = zone_cases(side.snapshot, tree) if tree else []
    return next((case for case in cases if case.name == name), None)
