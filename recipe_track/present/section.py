"""Sections through stacks drawn to scale with characters: one scale for all that stand side by side."""

from collections.abc import Sequence
from dataclasses import dataclass

from recipe_track.figures.slices import SectionLayer

LOOKS = {"coating": "··", "mat": "▒▒", "fabric": "▓▓", "core": "░░"}
LEGEND = "·· coating  ▒▒ mat  ▓▓ fabric  ░░ core"
GAP = "  "


@dataclass(frozen=True, slots=True)
class Scale:
    """How many millimetres one row of characters stands for."""

    mm_per_row: float

    @property
    def words(self) -> str:
        """The scale in words."""
        return f"1 row = {self.mm_per_row:.2g} mm"


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
        drawn.extend([LOOKS[look]] * rows)
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
    padded = [column + [GAP] * (height - len(column)) for column in (left, right)]
    return [f"{a}  {b}" for a, b in zip(*padded, strict=True)], scale
