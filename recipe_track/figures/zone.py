"""The figures of zones: weight, stiffness, cost and margins, many zones in one pass."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from recipe_track.figures.cases import Resolved, ZoneCase, resolve
from recipe_track.figures.limits import Requirement, requirements_of
from recipe_track.figures.panel import PanelFigures, panel_figures
from recipe_track.figures.plies import LayerPlies, ResolvedLayer
from recipe_track.figures.quantities import Quantity, stack_kg_m2, total_cost, zone_area_m2
from recipe_track.figures.stack import Laminates, laminates_of
from recipe_track.figures.stiffener import stiffener_figures
from recipe_track.figures.terms import FloatArray, NotComputable
from recipe_track.recipe.materials import Coating, Core

KINDS = ("fibre", "resin", "core", "coating", "paste")
Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class LaminateMatrices:
    """A [N/mm], B [N] and D [N·mm] of classical lamination theory, 3×3 each."""

    a_n_per_mm: Matrix
    b_n: Matrix
    d_n_mm: Matrix


@dataclass(frozen=True, slots=True)
class ZoneFigures:
    """Everything computed for one zone; None where a figure has no meaning for its form."""

    zone: str
    name: str | None
    form: str
    area_m2: float | None
    thickness_mm: float | None
    structural_thickness_mm: float | None
    core_thickness_mm: float | None
    areal_mass_kg_m2: float | None
    mass_kg: float
    mass_by_kind_kg: Mapping[str, float]
    fibre_kg_m2: float | None
    outer_fibre_kg_m2: float | None
    inner_fibre_kg_m2: float | None
    fibre_mass_fraction: float | None
    centroid_m: tuple[float, float, float]
    ea_x_mn_per_m: float | None
    ea_y_mn_per_m: float | None
    ei_x_kn_m2_per_m: float | None
    ei_y_kn_m2_per_m: float | None
    s_x_kn_per_m: float | None
    s_y_kn_per_m: float | None
    laminate: LaminateMatrices | None
    deflection_mm: float | None
    patch_deflection_mm: float | None
    core_shear_use: float | None
    strain_use: float | None
    wrinkling_use: float | None
    material_cost: float | None
    labour_cost: float | None
    cost: float | None
    required: tuple[Requirement, ...] = ()
    notes: tuple[str, ...] = ()
    hold: tuple[str, ...] = ()
    governs: Mapping[str, str] = field(default_factory=dict)
    not_checked: tuple[str, ...] = ()
    ei_stiffener_kn_m2: float | None = None
    neutral_axis_mm: float | None = None


def zone_figures(cases: Sequence[ZoneCase]) -> tuple[ZoneFigures, ...]:
    """The figures of many zones in one vectorised pass, in the order given.

    Raises NotComputable where something a figure needs is not written; a checked recipe has none.
    """
    known: dict[object, LayerPlies] = {}
    resolved = [resolve(case, known) for case in cases]
    carrying = [r for r in resolved if r.stack is not None]
    if not carrying:
        return tuple(_assembled(r, _NO_STIFFNESS, PanelFigures()) for r in resolved)
    laminates = laminates_of([stack for r in carrying if (stack := r.stack) is not None])
    stiffness = iter(_stiffness_figures(laminates))
    panels = iter(panel_figures(carrying, laminates))
    return tuple(
        _assembled(r, next(stiffness), next(panels))
        if r.stack is not None
        else _assembled(r, _NO_STIFFNESS, PanelFigures())
        for r in resolved
    )


def _assembled(resolved: Resolved, stiffness: Mapping[str, Any], panel: PanelFigures) -> ZoneFigures:
    zone = resolved.case.zone
    stiffener = stiffener_figures(resolved)
    values = {
        "zone": resolved.case.name,
        "name": zone.name,
        "form": zone.form,
        "area_m2": zone_area_m2(zone),
        "centroid_m": zone.centroid_m,
        **_weights(resolved.quantities),
        **(_stack_figures(resolved.layers) if zone.form != "joint" else _NO_STACK),
        **stiffness,
        **_panel_values(panel),
        **_costs(resolved),
        "ei_stiffener_kn_m2": stiffener.ei_stiffener_kn_m2,
        "neutral_axis_mm": stiffener.neutral_axis_mm,
    }
    required = requirements_of(zone.required, values)
    notes = (*panel.notes, *stiffener.notes, *_required_notes(zone.required is not None, required))
    return ZoneFigures(**values, required=required, notes=notes)


def _required_notes(recorded: bool, required: tuple[Requirement, ...]) -> tuple[str, ...]:
    if not recorded:
        return ("no required minima recorded",)
    return tuple(f"required {r.key} {r.limit:g} is not met" for r in required if r.met is False)


def _weights(quantities: Sequence[Quantity]) -> dict[str, Any]:
    by_kind = dict.fromkeys(KINDS, 0.0)
    for q in quantities:
        by_kind["fibre" if q.kind == "reinforcement" else q.kind] += q.kg
    return {"mass_kg": sum(by_kind.values()), "mass_by_kind_kg": by_kind}


_NO_STACK: dict[str, Any] = dict.fromkeys(
    (
        "thickness_mm",
        "structural_thickness_mm",
        "core_thickness_mm",
        "areal_mass_kg_m2",
        "fibre_kg_m2",
        "outer_fibre_kg_m2",
        "inner_fibre_kg_m2",
        "fibre_mass_fraction",
    )
)


def _stack_figures(layers: Sequence[ResolvedLayer]) -> dict[str, Any]:
    full = [r for r in layers if r.full]
    cores = [n for n, r in enumerate(full) if isinstance(r.material, Core)]
    thickness = [r.plies.total_m * 1e3 * r.layer.plies for r in full]
    fibre = [r.plies.fibre_kg_m2 * r.layer.plies for r in full]
    resin = sum([r.plies.resin_kg_m2 * r.layer.plies for r in full])
    coating = sum([t for t, r in zip(thickness, full, strict=True) if isinstance(r.material, Coating)])
    total, total_fibre = sum(thickness), sum(fibre)
    return {
        "thickness_mm": total,
        "structural_thickness_mm": total - coating,
        "core_thickness_mm": sum([thickness[n] for n in cores]),
        "areal_mass_kg_m2": stack_kg_m2(layers),
        "fibre_kg_m2": total_fibre,
        "outer_fibre_kg_m2": sum(fibre[: cores[0]]) if cores else None,
        "inner_fibre_kg_m2": sum(fibre[cores[-1] + 1 :]) if cores else None,
        "fibre_mass_fraction": total_fibre / (total_fibre + resin) if total_fibre else None,
    }


_STRIP_KEYS = (
    "ea_x_mn_per_m",
    "ea_y_mn_per_m",
    "ei_x_kn_m2_per_m",
    "ei_y_kn_m2_per_m",
    "s_x_kn_per_m",
    "s_y_kn_per_m",
)
_NO_STIFFNESS: dict[str, Any] = dict.fromkeys((*_STRIP_KEYS, "laminate"))


_TO_SHOWN = np.array([1e-6, 1e-6, 1e-3, 1e-3, 1e-3, 1e-3])  # N/m to MN/m, N·m to kN·m²/m, N/m to kN/m


def _stiffness_figures(laminates: Laminates) -> list[dict[str, Any]]:
    single = np.concatenate([laminates.strip, laminates.shear_n_per_m], axis=-1) * _TO_SHOWN
    stiffness = laminates.stiffness
    matrices = zip(
        *(_rows(m) for m in (stiffness.a * 1e-3, stiffness.b, stiffness.d * 1e3)),
        strict=True,
    )
    return [
        {**dict(zip(_STRIP_KEYS, row, strict=True)), "laminate": LaminateMatrices(*abd)}
        for row, abd in zip(single.tolist(), matrices, strict=True)
    ]


def _rows(matrices: FloatArray) -> list[Matrix]:
    return [(tuple(x), tuple(y), tuple(z)) for x, y, z in matrices.tolist()]


_PANEL_KEYS = (
    "deflection_mm",
    "patch_deflection_mm",
    "core_shear_use",
    "strain_use",
    "wrinkling_use",
    "governs",
    "not_checked",
)


def _panel_values(panel: PanelFigures) -> dict[str, Any]:
    return {key: getattr(panel, key) for key in _PANEL_KEYS}


def _costs(resolved: Resolved) -> dict[str, Any]:
    case = resolved.case
    if case.prices is None:
        return {"material_cost": None, "labour_cost": None, "cost": None}
    try:
        cost = total_cost(resolved.quantities, case.part, case.prices)
    except NotComputable as missing:
        raise NotComputable(f"{case.name}: {missing}") from missing
    return {"material_cost": cost.material, "labour_cost": cost.labour, "cost": cost.total}
