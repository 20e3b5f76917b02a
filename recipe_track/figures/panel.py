"""The panel of a zone: deflections, margins and frequencies, handed to mechanics in one pass."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.frequency import IN_AIR, frequencies
from recipe_track.figures.limits import Use
from recipe_track.figures.loads import Loaded, sides_mm
from recipe_track.figures.plies import ResolvedLayer
from recipe_track.figures.sandwich import (
    Run,
    core_shear_uses,
    crush_use,
    runs_of,
    unchecked_cores,
    wrinkling_uses,
)
from recipe_track.figures.si import KN, KPA, MM
from recipe_track.figures.stack import Laminates
from recipe_track.figures.strains import strain_uses, without_strains
from recipe_track.mechanics.arrays import BoolArray, FloatArray
from recipe_track.mechanics.field import Field
from recipe_track.mechanics.laminate import reduced_bending
from recipe_track.mechanics.membrane import membrane_deflection
from recipe_track.mechanics.panel import PanelFields, PanelResponse, panel_fields, panel_response
from recipe_track.recipe.layup import Panel
from recipe_track.recipe.materials import Coating

BLOCK = 2000  # zones at a time: strains at every place, face and ply of more would fill the memory
NOT_BESIDE_SUPPORT = "a foot beside a support"
NOT_AT_45 = "compression at 45° out of twist"
NOT_CHECKED = (NOT_BESIDE_SUPPORT, NOT_AT_45)
"""What is checked in no panel, whatever its materials say."""


@dataclass(frozen=True, slots=True)
class PanelFigures:
    """What the panel of one zone does; all None where the zone has none."""

    deflection_mm: float | None = None
    patch_deflection_mm: float | None = None
    core_shear_use: float | None = None
    strain_use: float | None = None
    wrinkling_use: float | None = None
    patch_core_shear_use: float | None = None
    patch_strain_use: float | None = None
    patch_wrinkling_use: float | None = None
    core_crush_use: float | None = None
    frequency_hz: float | None = None
    frequency_wet_hz: float | None = None
    deflection_membrane_mm: float | None = None
    governs: Mapping[str, str] = field(default_factory=dict)
    not_checked: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


NO_PANEL = PanelFigures()


def panel_figures(
    resolved: Sequence[Resolved], laminates: Laminates, with_margins: bool = True
) -> list[PanelFigures]:
    """The panel figures of each zone, in order; zones with a panel are computed many at a time.

    Without margins deflections alone, as causes and tolerances ask of many variants.
    """
    figures = [NO_PANEL] * len(resolved)
    with_panel = [n for n, r in enumerate(resolved) if r.case.zone.panel is not None]
    for start in range(0, len(with_panel), BLOCK):
        chosen = with_panel[start : start + BLOCK]
        some, taken = [resolved[n] for n in chosen], laminates.take(np.array(chosen))
        found = _figures(some, taken) if with_margins else _deflected(some, taken)
        for n, panel in zip(chosen, found, strict=True):
            figures[n] = panel
    return figures


def _deflected(resolved: Sequence[Resolved], laminates: Laminates) -> list[PanelFigures]:
    response = respond(panels_of(resolved), laminates)
    return [
        PanelFigures(*both)
        for both in zip(_mm(response.deflection_m), _mm(response.patch_deflection_m), strict=True)
    ]


@dataclass(frozen=True, slots=True)
class Margins:
    """How much of each limit of a panel is used; None where there is nothing to check it against."""

    core_shear_use: Use | None
    strain_use: Use | None
    wrinkling_use: Use | None
    patch_core_shear_use: Use | None = None
    patch_strain_use: Use | None = None
    patch_wrinkling_use: Use | None = None
    core_crush_use: Use | None = None

    def known(self) -> dict[str, Use]:
        """The uses that there are, by key."""
        found = ((f.name, getattr(self, f.name)) for f in fields(self))
        return {key: use for key, use in found if use is not None}


def panels_of(resolved: Sequence[Resolved]) -> list[Panel]:
    """The panels of zones that have one."""
    return [panel for r in resolved if (panel := r.case.zone.panel) is not None]


def _figures(resolved: Sequence[Resolved], laminates: Laminates) -> list[PanelFigures]:
    panels, runs = panels_of(resolved), [runs_of(r) for r in resolved]
    found = fields_of(panels, laminates)
    deflected = [_mm(found.response.deflection_m), _mm(found.response.patch_deflection_m)]
    stretched = _stretched(resolved, panels, runs, laminates, found.response)
    columns = zip(
        resolved, panels, runs, zip(*deflected, stretched, strict=True),
        _margins(resolved, runs, laminates, found), frequencies(resolved, panels, laminates), strict=True,
    )  # fmt: skip
    return [_assembled(*one) for one in columns]


def margins_of(resolved: Sequence[Resolved], laminates: Laminates) -> list[Margins]:
    """The margins of zones that all have a panel, with what governs them."""
    runs = [runs_of(r) for r in resolved]
    return _margins(resolved, runs, laminates, fields_of(panels_of(resolved), laminates))


def _margins(
    resolved: Sequence[Resolved], runs: Sequence[Sequence[Run]], laminates: Laminates, found: PanelFields
) -> list[Margins]:
    panels = panels_of(resolved)
    pressed = _uses(resolved, runs, laminates, Loaded("pressure", panels, found.pressure))
    trodden: dict[int, _Uses] = {}
    at = [n for n, panel in enumerate(panels) if panel.patch is not None]
    if found.patch is not None and at:
        under = Field(found.patch.curvature_per_m[at], found.patch.shear_n_per_m[at])
        loaded = Loaded("patch", [panels[n] for n in at], under)
        some = _uses([resolved[n] for n in at], [runs[n] for n in at], laminates.take(np.array(at)), loaded)
        trodden = dict(zip(at, some, strict=True))
    return [
        Margins(*pressed[n], *trodden.get(n, (None, None, None)), crush_use(runs[n], panel))
        for n, panel in enumerate(panels)
    ]


_Uses = tuple[Use | None, Use | None, Use | None]


def _uses(
    resolved: Sequence[Resolved], runs: Sequence[Sequence[Run]], laminates: Laminates, loaded: Loaded
) -> list[_Uses]:
    """Core shear, strain and wrinkling under one load."""
    return list(
        zip(
            core_shear_uses(runs, laminates, loaded),
            strain_uses(resolved, laminates, loaded),
            wrinkling_uses(runs, laminates, loaded),
            strict=True,
        )
    )


def respond(panels: Sequence[Panel], laminates: Laminates) -> PanelResponse:
    """Deflections, curvatures and edge shear of many panels under their loads."""
    return panel_response(*_plates(panels, laminates))


def fields_of(panels: Sequence[Panel], laminates: Laminates) -> PanelFields:
    """The same with curvatures and transverse forces all over each panel."""
    return panel_fields(*_plates(panels, laminates))


_Plates = tuple[
    FloatArray, FloatArray, FloatArray, FloatArray, FloatArray, BoolArray, FloatArray, FloatArray, FloatArray
]


def _plates(panels: Sequence[Panel], laminates: Laminates) -> _Plates:
    x, y = np.array([sides_mm(panel) for panel in panels]).T * MM
    patches = [p.patch for p in panels]
    return (
        reduced_bending(laminates.stiffness),
        laminates.shear_n_per_m[:, 0],
        laminates.shear_n_per_m[:, 1],
        x,
        y,
        np.array([p.edges == "clamped" for p in panels]),
        np.array([p.pressure_kpa for p in panels]) * KPA,
        np.array([p.force_kn if p else np.nan for p in patches]) * KN,
        np.array([p.side_mm if p else np.nan for p in patches]) * MM,
    )


def _mm(deflection_m: FloatArray) -> list[float | None]:
    return [d * 1e3 if np.isfinite(d) else None for d in deflection_m.tolist()]


def _stretched(
    resolved: Sequence[Resolved], panels: Sequence[Panel], runs: Sequence[Sequence[Run]],
    laminates: Laminates, response: PanelResponse,
) -> list[float | None]:  # fmt: skip
    """The deflection with stretch of single skins that linear theory has deflect too far."""
    linear = response.deflection_m
    at = [
        n
        for n, one in enumerate(zip(resolved, panels, runs, linear.tolist(), strict=True))
        if _is_single_skin(runs[n]) and _beyond(*one) is not None
    ]
    stretched: list[float | None] = [None] * len(panels)
    if at:
        bent = [panels[n] for n in at]
        x, y = np.array([sides_mm(panel) for panel in bent]).T * MM
        pressure = np.array([panel.pressure_kpa for panel in bent]) * KPA
        clamped = np.array([panel.edges == "clamped" for panel in bent])
        found = membrane_deflection(linear[at], pressure, laminates.stiffness.a[at], x, y, clamped)
        for n, deflection in zip(at, _mm(found), strict=True):
            stretched[n] = deflection
    return stretched


def _assembled(
    resolved: Resolved,
    panel: Panel,
    runs: Sequence[Run],
    deflections: tuple[float | None, float | None, float | None],
    margins: Margins,
    found_hz: tuple[float | None, float | None],
) -> PanelFigures:
    uses, (in_air, wet) = margins.known(), found_hz
    return PanelFigures(
        *deflections[:2],
        deflection_membrane_mm=deflections[2],
        frequency_hz=in_air,
        frequency_wet_hz=wet,
        **{key: use.use for key, use in uses.items()},
        governs={key: use.governs for key, use in uses.items()},
        not_checked=tuple(_not_checked(resolved, panel, runs, margins)),
        notes=tuple(_notes(resolved, panel, runs, deflections, in_air)),
    )


def _not_checked(resolved: Resolved, panel: Panel, runs: Sequence[Run], margins: Margins) -> Iterator[str]:
    yield from without_strains(resolved)
    yield from unchecked_cores(runs, panel)
    if panel.patch is not None:
        yield NOT_BESIDE_SUPPORT
    if margins.wrinkling_use is not None:
        yield NOT_AT_45


def _notes(
    resolved: Resolved,
    panel: Panel,
    runs: Sequence[Run],
    deflections: tuple[float | None, float | None, float | None],
    in_air_hz: float | None,
) -> Iterator[str]:
    for deflection, what in zip(deflections[:2], ("deflection", "patch deflection"), strict=True):
        beyond = None if deflection is None else _beyond(resolved, panel, runs, deflection * MM)
        if beyond:
            yield f"the {what} exceeds {beyond}: linear theory overstates it"
    if in_air_hz is not None and panel.water is None:
        yield IN_AIR


def _beyond(resolved: Resolved, panel: Panel, runs: Sequence[Run], deflection_m: float) -> str | None:
    """Where linear theory ends: half the thickness of a single skin, a tenth of the span."""
    if _is_single_skin(runs) and deflection_m / MM > structural_mm(resolved) / 2:
        return "half the thickness of the skin"
    return "a tenth of the span" if deflection_m / MM > panel.span_mm / 10 else None


def _is_single_skin(runs: Sequence[Run]) -> bool:
    return all(run.core is None for run in runs)


def structural_mm(resolved: Resolved) -> float:
    """Thickness of the full layers without coatings [mm]."""
    return sum(r.plies.total_m * r.layer.plies for r in _structural(resolved)) * 1e3


def solid_mm(resolved: Resolved) -> float:
    """The same as it would be without voids, which make a laminate thicker and nothing else [mm]."""
    solid = ((1 - r.plies.void_fraction) * r.plies.total_m for r in _structural(resolved))
    return sum(t * r.layer.plies for t, r in zip(solid, _structural(resolved), strict=True)) * 1e3


def _structural(resolved: Resolved) -> list[ResolvedLayer]:
    return [r for r in resolved.layers if r.full and not isinstance(r.material, Coating)]
