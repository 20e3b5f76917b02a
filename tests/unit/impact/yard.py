"""A model of one zone with round numbers, so that every figure of it can be worked by hand."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from recipe_track.figures.craft import figures_of
from recipe_track.impact.comparing import compare_models
from recipe_track.impact.effects import Impact
from recipe_track.recipe.craft import Model, Part, Prices, Settings
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from tests.recipes import material, materials

FABRIC = {
    "kind": "reinforcement",
    "fibre": "e-glass",
    "areal_mass_g_m2": 600,
    "directions": [{"angle_deg": 0, "share": 1.0}],
}
CORE = {
    "kind": "core",
    "density_kg_m3": 80,
    "g_mpa": 30,
    "surface_uptake_g_m2": {"infusion": 0},
    "perforation_uptake_g_m2_mm": {"infusion": 0},
}


def fabric(**fractions: float) -> dict[str, Any]:
    """600 g/m² of fibre, with a fibre mass fraction per process (`_` in a name stands for `-`)."""
    return {**FABRIC, "fibre_mass_fraction": {k.replace("_", "-"): v for k, v in fractions.items()}}


def prices(currency: str = "EUR", labour: float = 0.0, **per_kg: float) -> Prices:
    """A price list by the kilogram."""
    listed = {name: {"per_kg": value} for name, value in per_kg.items()}
    return Prices.model_validate({"currency": currency, "labour_per_hour": labour, "materials": listed})


def snapshot(
    layup: Sequence[Mapping[str, Any]] = ({"material": "cloth"},),
    *,
    cloth: Mapping[str, Any] | None = None,
    price_list: Prices | None = None,
    part: Mapping[str, Any] | None = None,
    model: Mapping[str, Any] | None = None,
    zones: Mapping[str, Zone] | None = None,
    **keys: Any,
) -> Snapshot:
    """A model `craft` whose part `hull` has the zone `bottom`, or the zones given; keys are the zone's."""
    zone = {"area_m2": 1.0, "centroid_m": (1.0, 0.0, 0.0), "layup": tuple(layup), **keys}
    tree = PartTree(
        "hull",
        Part.model_validate({"process": "infusion", "resin": "vinylester", **(part or {})}),
        zones if zones is not None else {"bottom": Zone.model_validate(zone)},
    )
    craft = Model.model_validate({"origin": "transom", **(model or {})})
    return Snapshot(
        settings=Settings(format=1),
        materials={
            **materials(foam=CORE),
            "cloth": material(**(cloth or fabric(infusion=0.5))),
        },
        prices=price_list,
        models={"craft": ModelTree("craft", craft, {"hull": tree})},
    )


def without_model(base: Snapshot) -> Snapshot:
    """The same repository before the model was written."""
    return replace(base, models={})


def compared(before: Snapshot, after: Snapshot, **options: Any) -> Impact:
    """The impact on the model `craft`."""
    figures = [figures_of(side, "craft") if "craft" in side.models else None for side in (before, after)]
    return compare_models(before, after, "craft", *figures, **options)
