"""Recipes for tests: a folder of files read without git, and small cases written in a few lines."""

import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.craft import Model, Part, Prices, Settings
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Material
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot

DATA = Path(__file__).parent / "data"
WORKED = DATA / "worked-recipe"
_MATERIAL: TypeAdapter[Material] = TypeAdapter(Material)


def read_recipe(folder: Path) -> Snapshot:
    """The recipe in a folder of files, records and hulls left out."""
    return Snapshot(
        settings=Settings.model_validate(_toml(folder / "recipe-track.toml")),
        materials={
            path.stem: _MATERIAL.validate_python(_toml(path)) for path in folder.glob("materials/*.toml")
        },
        prices=Prices.model_validate(_toml(folder / "prices.toml")),
        models={path.parent.name: _model_tree(path.parent) for path in folder.glob("models/*/model.toml")},
    )


def _model_tree(folder: Path) -> ModelTree:
    parts = {path.parent.name: _part_tree(path.parent) for path in folder.glob("*/part.toml")}
    return ModelTree(folder.name, Model.model_validate(_toml(folder / "model.toml")), parts)


def _part_tree(folder: Path) -> PartTree:
    zones = {p.stem: Zone.model_validate(_toml(p)) for p in folder.glob("*.toml") if p.name != "part.toml"}
    return PartTree(folder.name, Part.model_validate(_toml(folder / "part.toml")), zones)


def _toml(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def material(**keys: Any) -> Material:
    """One material from its keys."""
    return _MATERIAL.validate_python(keys)


def materials(**more: dict[str, Any]) -> dict[str, Material]:
    """The test materials, with others added or put in their place (`_` in a name stands for `-`)."""
    added = {name.replace("_", "-"): material(**keys) for name, keys in more.items()}
    return {**_TEST_MATERIALS, **added}


def changed(base: Mapping[str, Material], name: str, **keys: Any) -> dict[str, Material]:
    """The materials with some keys of one of them changed."""
    altered = {k: v for k, v in base[name].model_dump(exclude_unset=True).items() if k not in keys}
    return {**base, name: material(**altered, **keys)}


def zone(layup: Sequence[Mapping[str, Any]], **keys: Any) -> Zone:
    """A plate of 1 m² at the origin, unless the keys say otherwise."""
    given = {"area_m2": 1.0, "centroid_m": (0.0, 0.0, 0.0), "layup": tuple(layup), **keys}
    if keys.get("form", "plate") != "plate":
        given.pop("area_m2")
    return Zone.model_validate(given)


def part(**keys: Any) -> Part:
    """An infused part in vinylester, unless the keys say otherwise."""
    return Part.model_validate({"process": "infusion", "resin": "vinylester", **keys})


def case(
    layup: Sequence[Mapping[str, Any]],
    *,
    name: str = "hull/bottom",
    of: Part | None = None,
    using: Mapping[str, Material] | None = None,
    prices: Prices | None = None,
    **keys: Any,
) -> ZoneCase:
    """One zone to compute; further keys are the zone's."""
    return ZoneCase(name, zone(layup, **keys), of or part(), using or _TEST_MATERIALS, prices)


def figures(layup: Sequence[Mapping[str, Any]], **keys: Any) -> ZoneFigures:
    """The figures of one zone; keys as for `case`."""
    return zone_figures([case(layup, **keys)])[0]


PROCESSES = {"infusion": 0.68, "vacuum-bag": 0.60, "hand-layup": 0.50, "spray-up": 0.30}


def _fabric(areal_mass_g_m2: float, *angles: float, **keys: Any) -> Material:
    share = 1 / len(angles)
    return material(
        **{
            "kind": "reinforcement",
            "fibre": "e-glass",
            "areal_mass_g_m2": areal_mass_g_m2,
            "directions": [{"angle_deg": angle, "share": share} for angle in angles],
            "fibre_mass_fraction": PROCESSES,
            **keys,
        }
    )


LIMITS = {"tension": 0.0035, "compression": 0.0030, "transverse": 0.0020, "shear": 0.0060}

_TEST_MATERIALS: dict[str, Material] = {
    **read_recipe(WORKED).materials,
    "carbon": material(
        kind="fibre", density_kg_m3=1790, e_axial_gpa=235.0, e_transverse_gpa=15.0, g_gpa=20.0, nu=0.25,
        source="illustrative",
    ),
    "polyester": material(kind="resin", density_kg_m3=1200, e_gpa=3.2, nu=0.38, source="illustrative"),
    "uni-600": _fabric(600, 0, strain_limits=LIMITS),
    "uni-carbon": _fabric(300, 0, fibre="carbon"),
    "quad-1200": _fabric(1200, 0, 45, 90, -45, strain_limits=LIMITS),
    "biax-090": _fabric(800, 0, 90, strain_limits=LIMITS),
    "skew-700": _fabric(700, 20, 75, strain_limits=LIMITS),
    "hybrid-500": _fabric(
        500, 0,
        directions=[
            {"angle_deg": 0, "share": 0.6, "fibre": "carbon"},
            {"angle_deg": 90, "share": 0.4},
        ],
    ),
    "honeycomb": material(
        kind="core", density_kg_m3=60, g_l_mpa=40, g_w_mpa=20, shear_strength_mpa=1.5,
        surface_uptake_g_m2={"infusion": 0, "hand-layup": 100, "vacuum-bag": 100},
        perforation_uptake_g_m2_mm={"infusion": 0, "hand-layup": 0, "vacuum-bag": 0},
    ),
    "bond-paste": material(kind="paste", density_kg_m3=1150),
}  # fmt: skip
