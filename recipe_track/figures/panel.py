"""The panel of a zone: deflections and margins, handed to mechanics in one pass."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.limits import Use
from recipe_track.figures.plies import ResolvedLayer
from recipe_track.figures.sandwich import Run, core_shear_uses, runs_of, unchecked_cores, wrinkling_uses
from recipe_track.figures.si import KN, KPA, MM
from recipe_track.figures.stack import Laminates
from recipe_track.figures.strains import strain_uses, without_strains
from recipe_track.mechanics.arrays import FloatArray
from recipe_track.mechanics.laminate import reduced_bending
from recipe_track.mechanics.panel import PanelResponse, panel_response
from recipe_track.recipe.layup import Panel
from recipe_track.recipe.materials import Coating

BLOCK = 2000  # zones at a time: strains at every place, face and ply of more would fill the memory


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


NO_PANEL = PanelFigures()


def panel_figures(resolved: Sequence[Resolved], laminates: Laminates) -> list[PanelFigures]:
    """The panel figures of each zone, in order; zones with a panel are computed many at a time."""
    figures = [NO_PANEL] * len(resolved)
    with_panel = [n for n, r in enumerate(resolved) if r.case.zone.panel is not None]
    for start in range(0, len(with_panel), BLOCK):
        chosen = with_panel[start : start + BLOCK]
        found = _figures([resolved[n] for n in chosen], laminates.take(np.array(chosen)))
        for n, panel in zip(chosen, found, strict=True):
            figures[n] = panel
    return figures


@dataclass(frozen=True, slots=True)
class Margins:
    """How much of each limit of a panel is used; None where there is nothing to check it against."""

    core_shear_use: Use | None
    strain_use: Use | None
    wrinkling_use: Use | None


def _figures(resolved: Sequence[Resolved], laminates: Laminates) -> list[PanelFigures]:
    panels = [panel for r in resolved if (panel := r.case.zone.panel) is not None]
    runs = [runs_of(r) for r in resolved]
    response = respond(panels, laminates)
    margins = _margins(resolved, runs, laminates, response)
    deflections = zip(_mm(response.deflection_m), _mm(response.patch_deflection_m), strict=True)
    return [_assembled(*one) for one in zip(resolved, panels, runs, deflections, margins, strict=True)]


def margins_of(resolved: Sequence[Resolved], laminates: Laminates) -> list[Margins]:
    """The margins of zones that all have a panel, with what governs them."""
    panels = [panel for r in resolved if (panel := r.case.zone.panel) is not None]
    return _margins(resolved, [runs_of(r) for r in resolved], laminates, respond(panels, laminates))


def _margins(
    resolved: Sequence[Resolved],
    runs: Sequence[Sequence[Run]],
    laminates: Laminates,
    response: PanelResponse,
) -> list[Margins]:
    curvature = response.curvature_per_m
    uses = zip(
        core_shear_uses(runs, laminates, response.edge_shear_n_per_m),
        strain_uses(resolved, laminates, curvature),
        wrinkling_uses(runs, laminates, curvature),
        strict=True,
    )
    return [Margins(*use) for use in uses]


def respond(panels: Sequence[Panel], laminates: Laminates) -> PanelResponse:
    """Deflections, curvatures and edge shear of many panels under their loads."""
    span, length = (np.array([getattr(p, key) for p in panels]) * MM for key in ("span_mm", "length_mm"))
    along_x = np.array([p.span_axis == "x" for p in panels])
    patches = [p.patch for p in panels]
    return panel_response(
        reduced_bending(laminates.stiffness),
        laminates.shear_n_per_m[:, 0],
        laminates.shear_n_per_m[:, 1],
        np.where(along_x, span, length),
        np.where(along_x, length, span),
        np.array([p.edges == "clamped" for p in panels]),
        np.array([p.pressure_kpa for p in panels]) * KPA,
        np.array([p.force_kn if p else np.nan for p in patches]) * KN,
        np.array([p.side_mm if p else np.nan for p in patches]) * MM,
    )


def _mm(deflection_m: FloatArray) -> list[float | None]:
    return [d * 1e3 if np.isfinite(d) else None for d in deflection_m.tolist()]


def _assembled(
    resolved: Resolved,
    panel: Panel,
    runs: Sequence[Run],
    deflections: tuple[float | None, float | None],
    margins: Margins,
) -> PanelFigures:
    uses = {
        key: use for key in (f.name for f in fields(Margins)) if (use := getattr(margins, key)) is not None
    }
    deflection, patch_deflection = deflections
    return PanelFigures(
        deflection,
        patch_deflection,
        **{key: use.use for key, use in uses.items()},
        governs={key: use.governs for key, use in uses.items()},
        not_checked=(*without_strains(resolved), *unchecked_cores(runs)),
        notes=tuple(_linear_notes(resolved, panel, runs, deflections)),
    )


def _linear_notes(
    resolved: Resolved,
    panel: Panel,
    runs: Sequence[Run],
    deflections: tuple[float | None, float | None],
) -> Iterator[str]:
    """Where linear theory ends: half the thickness of a single skin, a tenth of the span."""
    thickness = structural_mm(resolved)
    single_skin = all(run.core is None for run in runs)
    for deflection, what in zip(deflections, ("deflection", "patch deflection"), strict=True):
        if deflection is None:
            continue
        if single_skin and deflection > thickness / 2:
            yield f"the {what} exceeds half the thickness of the skin: linear theory overstates it"
        elif deflection > panel.span_mm / 10:
            yield f"the {what} exceeds a tenth of the span: linear theory overstates it"


def structural_mm(resolved: Resolved) -> float:
    """Thickness of the full layers without coatings [mm]."""
    return sum(r.plies.total_m * r.layer.plies for r in _structural(resolved)) * 1e3


def solid_mm(resolved: Resolved) -> float:
    """The same as it would be without voids, which make a laminate thicker and nothing else [mm]."""
    solid = ((1 - r.plies.void_fraction) * r.plies.total_m for r in _structural(resolved))
    return sum(t * r.layer.plies for t, r in zip(solid, _structural(resolved), strict=True)) * 1e3


def _structural(resolved: Resolved) -> list[ResolvedLayer]:
    return [r for r in resolved.layers if r.full and not isinstance(r.material, Coating)]
