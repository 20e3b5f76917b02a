"""The figures of zones: weight, stiffness, cost and margins, many zones in one pass."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from recipe_track.figures.cases import Resolved, ZoneCase, resolve
from recipe_track.figures.cost import total_cost
from recipe_track.figures.panel import PanelFigures, panel_figures
from recipe_track.figures.plies import FloatArray, LayerPlies, NotComputable, ResolvedLayer
from recipe_track.figures.quantities import Quantity, stack_kg_m2, zone_area_m2
from recipe_track.figures.required import Requirement, requirements_of
from recipe_track.figures.stack import Laminates, laminates_of
from recipe_track.figures.stiffener import stiffener_figures
from recipe_track.recipe.materials import Coating, Core, Reinforcement

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
    carrying = [n for n, r in enumerate(resolved) if r.stack is not None]
    if not carrying:
        return tuple(_assembled(r, None, 0, None) for r in resolved)
    laminates = laminates_of([stack for r in resolved if (stack := r.stack) is not None])
    panels = panel_figures([resolved[n] for n in carrying], laminates)
    place = {n: k for k, n in enumerate(carrying)}
    return tuple(
        _assembled(r, laminates, place[n], panels[place[n]]) if n in place else _assembled(r, None, 0, None)
        for n, r in enumerate(resolved)
    )


def _assembled(
    resolved: Resolved, laminates: Laminates | None, place: int, panel: PanelFigures | None
) -> ZoneFigures:
    zone = resolved.case.zone
    values = {
        "zone": resolved.case.name,
        "name": zone.name,
        "form": zone.form,
        "area_m2": zone_area_m2(zone),
        "centroid_m": zone.centroid_m,
        **_weights(resolved.quantities),
        **(_stack_figures(resolved.layers) if zone.form != "joint" else _NO_STACK),
        **(_stiffness_figures(laminates, place) if laminates else _NO_STIFFNESS),
        **_panel_values(panel),
        **_costs(resolved),
    }
    stiffener = stiffener_figures(resolved)
    required = requirements_of(zone.required, values)
    notes = (
        *(panel.notes if panel else ()),
        *stiffener.notes,
        *_required_notes(zone.required is not None, required),
    )
    return ZoneFigures(
        **values,
        required=required,
        notes=notes,
        ei_stiffener_kn_m2=stiffener.ei_stiffener_kn_m2,
        neutral_axis_mm=stiffener.neutral_axis_mm,
    )


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
    fibre = sum(_fibre(r) for r in full)
    resin = sum(r.plies.resin_kg_m2 * r.layer.plies for r in full)
    return {
        "thickness_mm": sum(map(_thickness_mm, full)),
        "structural_thickness_mm": sum(_thickness_mm(r) for r in full if not isinstance(r.material, Coating)),
        "core_thickness_mm": sum(_thickness_mm(full[n]) for n in cores),
        "areal_mass_kg_m2": stack_kg_m2(layers),
        "fibre_kg_m2": fibre,
        "outer_fibre_kg_m2": sum(map(_fibre, full[: cores[0]])) if cores else None,
        "inner_fibre_kg_m2": sum(map(_fibre, full[cores[-1] + 1 :])) if cores else None,
        "fibre_mass_fraction": fibre / (fibre + resin) if fibre else None,
    }


def _fibre(resolved: ResolvedLayer) -> float:
    is_fabric = isinstance(resolved.material, Reinforcement)
    return resolved.plies.fibre_kg_m2 * resolved.layer.plies if is_fabric else 0.0


def _thickness_mm(resolved: ResolvedLayer) -> float:
    return float(resolved.plies.thickness_m.sum()) * 1e3 * resolved.layer.plies


_NO_STIFFNESS: dict[str, Any] = dict.fromkeys(
    (
        "ea_x_mn_per_m",
        "ea_y_mn_per_m",
        "ei_x_kn_m2_per_m",
        "ei_y_kn_m2_per_m",
        "s_x_kn_per_m",
        "s_y_kn_per_m",
        "laminate",
    )
)


def _stiffness_figures(laminates: Laminates, n: int) -> dict[str, Any]:
    ea_x, ea_y, ei_x, ei_y = (float(values[n]) for values in laminates.strip)
    s_x, s_y = (float(s) for s in laminates.shear_n_per_m[n])
    stiffness = laminates.stiffness
    return {
        "ea_x_mn_per_m": ea_x * 1e-6,
        "ea_y_mn_per_m": ea_y * 1e-6,
        "ei_x_kn_m2_per_m": ei_x * 1e-3,
        "ei_y_kn_m2_per_m": ei_y * 1e-3,
        "s_x_kn_per_m": s_x * 1e-3,
        "s_y_kn_per_m": s_y * 1e-3,
        "laminate": LaminateMatrices(
            _rows(stiffness.a[n] * 1e-3), _rows(stiffness.b[n]), _rows(stiffness.d[n] * 1e3)
        ),
    }


def _rows(matrix: FloatArray) -> Matrix:
    return tuple(tuple(float(v) for v in row) for row in np.asarray(matrix))


def _panel_values(panel: PanelFigures | None) -> dict[str, Any]:
    if panel is None:
        panel = PanelFigures()
    return {
        "deflection_mm": panel.deflection_mm,
        "patch_deflection_mm": panel.patch_deflection_mm,
        "core_shear_use": panel.core_shear_use,
        "strain_use": panel.strain_use,
        "wrinkling_use": panel.wrinkling_use,
        "governs": panel.governs,
        "not_checked": panel.not_checked,
    }


def _costs(resolved: Resolved) -> dict[str, Any]:
    case = resolved.case
    if case.prices is None:
        return {"material_cost": None, "labour_cost": None, "cost": None}
    try:
        cost = total_cost(resolved.quantities, case.part, case.prices)
    except NotComputable as missing:
        raise NotComputable(f"{case.name}: {missing}") from missing
    return {"material_cost": cost.material, "labour_cost": cost.labour, "cost": cost.total}
