"""The figures of zones: weight, stiffness, cost and margins, many zones in one pass."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from typing import Any

import numpy as np

from recipe_track.figures.cases import Resolved, ZoneCase, resolve_zone
from recipe_track.figures.costs import BuiltIn, stack_kg_m2, total_cost, zone_area_m2
from recipe_track.figures.frequency import meeting_words, meetings
from recipe_track.figures.limits import exceeded_in, requirements_of, unmet_words
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.panel import NO_PANEL, PanelFigures, panel_figures, solid_mm, structural_mm
from recipe_track.figures.plies import LayerPlies, ResolvedLayer
from recipe_track.figures.results import ZONE_KEYS, LaminateMatrices, Matrix, Requirement, ZoneFigures
from recipe_track.figures.section import lying_on
from recipe_track.figures.si import MM
from recipe_track.figures.stack import Laminates, laminates_of
from recipe_track.figures.stiffener import StiffenerFigures, stiffener_figures
from recipe_track.mechanics.arrays import FloatArray
from recipe_track.mechanics.laminate import engineering_constants
from recipe_track.recipe.layup import SECTION_PARTS, section_stated
from recipe_track.recipe.materials import Coating, Core

MASS_KINDS = ("fibre", "resin", "core", "coating", "paste")


def zone_figures(
    cases: Sequence[ZoneCase],
    known: dict[object, LayerPlies] | None = None,
    with_margins: bool = True,
) -> tuple[ZoneFigures, ...]:
    """The figures of many zones in one vectorised pass, in the order given; `known` keeps plies met before.

    Without margins a panel has its deflections alone. Raises NotComputable where something a figure needs is
    not written; a checked recipe has none.
    """
    known = {} if known is None else known
    resolved = [resolve_zone(case, known) for case in cases]
    carrying = [r for r in resolved if r.stack is not None]
    if not carrying:
        return tuple(_assembled(r) for r in resolved)
    laminates = laminates_of([stack for r in carrying if (stack := r.stack) is not None])
    stiffness = iter(_stiffness_figures(laminates, [structural_mm(r) * MM for r in carrying]))
    panels = iter(panel_figures(carrying, laminates, with_margins))
    return tuple(
        _assembled(r, next(stiffness), next(panels)) if r.stack is not None else _assembled(r)
        for r in resolved
    )


_NO_FIGURES: Mapping[str, Any] = dict.fromkeys((*ZONE_KEYS, "laminate"))
_NO_STIFFNESS: Mapping[str, Any] = {}


def _assembled(
    resolved: Resolved, stiffness: Mapping[str, Any] = _NO_STIFFNESS, panel: PanelFigures = NO_PANEL
) -> ZoneFigures:
    zone = resolved.case.zone
    stiffener = stiffener_figures(resolved)
    values = {
        **_NO_FIGURES,
        "zone": resolved.case.name,
        "name": zone.name,
        "form": zone.form,
        "area_m2": zone_area_m2(zone),
        "centroid_m": zone.centroid_m,
        **_weights(resolved.quantities),
        **(_stack_figures(_thinnest(resolved)) if zone.form != "joint" else {}),
        **stiffness,
        **(_all_but_notes(stiffener) if zone.form == "stiffener" else _all_but_notes(panel)),
        **_costs(resolved),
    }
    held = {**values, "structural_thickness_mm": solid_mm(resolved)} if zone.form != "joint" else values
    required = requirements_of(zone.required, held)
    notes = (
        *panel.notes,
        *stiffener.notes,
        *_void_notes(resolved),
        *_required_notes(zone.required is not None, required),
    )
    shaken = meetings(resolved.case.excitation, values["frequency_hz"], values["frequency_wet_hz"])
    notes = (*notes, *map(meeting_words, shaken))
    return ZoneFigures(
        **values, required=required, notes=notes, exceeded=exceeded_in(values), excitation=shaken
    )


def _all_but_notes(figures: PanelFigures | StiffenerFigures) -> dict[str, Any]:
    return {f.name: getattr(figures, f.name) for f in fields(figures) if f.name != "notes"}


def _void_notes(resolved: Resolved) -> Iterator[str]:
    if any(layer.plies.void_fraction for layer in resolved.layers):
        yield (
            "voids count in thickness and stiffness; what they take off the strength is left out, and a "
            "minimum thickness is held against the laminate without them"
        )


def _required_notes(recorded: bool, required: tuple[Requirement, ...]) -> tuple[str, ...]:
    if not recorded:
        return ("no required minima recorded",)
    return tuple(unmet_words(r) for r in required if r.met is False)


def _weights(quantities: Sequence[BuiltIn]) -> dict[str, Any]:
    by_kind = dict.fromkeys(MASS_KINDS, 0.0)
    for q in quantities:
        by_kind["fibre" if q.kind == "reinforcement" else q.kind] += q.kg
    return {"mass_kg": sum(by_kind.values()), "mass_by_kind_kg": by_kind}


def _thinnest(resolved: Resolved) -> Sequence[ResolvedLayer]:
    """The layers of a zone, of a stiffener those of the part of its section that has the least of them."""
    layers, section = resolved.layers, section_stated(resolved.case.zone)
    if section is None or all(layer.layer.on == "all" for layer in layers):
        return layers
    parts = [lying_on(layers, on) for on in SECTION_PARTS if section.width_mm(on) > 0]
    return min(parts, key=lambda part: sum(r.plies.total_m * r.layer.plies for r in part if r.full))


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


# What a strip and a coupon show, column by column, and the factor out of SI units.
_SINGLE = {
    "ea_x_mn_per_m": 1e-6,
    "ea_y_mn_per_m": 1e-6,
    "ei_x_kn_m2_per_m": 1e-3,
    "ei_y_kn_m2_per_m": 1e-3,
    "s_x_kn_per_m": 1e-3,
    "s_y_kn_per_m": 1e-3,
    "ex_gpa": 1e-9,
    "ey_gpa": 1e-9,
    "gxy_gpa": 1e-9,
    "nu_xy": 1.0,
}


def _stiffness_figures(laminates: Laminates, structural_m: Sequence[float]) -> list[dict[str, Any]]:
    constants = engineering_constants(laminates.stiffness, np.array(structural_m))
    columns = [getattr(constants, f.name)[:, None] for f in fields(constants)]
    single = np.concatenate([laminates.strip, laminates.shear_n_per_m, *columns], axis=-1)
    single *= list(_SINGLE.values())
    stiffness = laminates.stiffness
    matrices = zip(
        *(_rows(m) for m in (stiffness.a * 1e-3, stiffness.b, stiffness.d * 1e3)),
        strict=True,
    )
    return [
        {**dict(zip(_SINGLE, row, strict=True)), "laminate": LaminateMatrices(*abd)}
        for row, abd in zip(single.tolist(), matrices, strict=True)
    ]


def _rows(matrices: FloatArray) -> list[Matrix]:
    return [(tuple(x), tuple(y), tuple(z)) for x, y, z in matrices.tolist()]


def _costs(resolved: Resolved) -> dict[str, Any]:
    case = resolved.case
    if case.prices is None:
        return {}
    try:
        cost = total_cost(resolved.quantities, case.part, case.prices)
    except NotComputable as missing:
        raise NotComputable(f"{case.name}: {missing}") from missing
    return {"material_cost": cost.material, "labour_cost": cost.labour, "cost": cost.total}
