"""From a layer to its plies: constants of every direction, thickness and masses, converted to SI once."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from recipe_track.figures.fabric import (
    SubPly,
    estimated_sub_plies,
    fibre_fraction,
    tested_sub_plies,
    void_fraction,
)
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.si import GRAM, MM, MPA
from recipe_track.mechanics import ply
from recipe_track.mechanics.arrays import FloatArray
from recipe_track.recipe.craft import Part
from recipe_track.recipe.layup import Layer
from recipe_track.recipe.materials import Coating, Core, Material, Reinforcement, StrainLimits


@dataclass(frozen=True, slots=True, eq=False)
class LayerPlies:
    """One ply of a layer, mould side first: k plies in zone axes and what they weigh per square metre.

    q_bar_pa (k, 3, 3), g_pa (k, 2) as Gx and Gy, thickness_m (k,). A woven fabric is one ply (k = 1) of
    several `sub_plies`; otherwise ply i is sub-ply i. Coatings have neither stiffness nor sub-plies.
    `total_m` is their thickness together, `void_fraction` the share of it that is voids, `carries` whether
    any has stiffness. `checks` (c, 7) has a row per
    sub-ply with design strains: ply, angle [rad], 1 if random, then tension, compression, transverse, shear,
    nan where there is none. `made_of` keeps the materials alive by whose identity plies are known again.
    """

    q_bar_pa: FloatArray
    g_pa: FloatArray
    thickness_m: FloatArray
    sub_plies: tuple[SubPly, ...]
    limits: StrainLimits | None
    fibre_kg_m2: float
    resin_kg_m2: float
    own_kg_m2: float
    uptake_kg_m2: float
    total_m: float = 0.0
    void_fraction: float = 0.0
    carries: bool = False
    checks: FloatArray = field(default_factory=lambda: np.zeros((0, 7)))
    made_of: "Ingredients" = ()


@dataclass(frozen=True, slots=True, eq=False)
class ResolvedLayer:
    """A line of a layup with its material, its resin and its plies.

    `full` tells whether it covers the whole zone and so counts in stiffness and thickness.
    """

    line: int
    layer: Layer
    material: Material
    resin: str
    plies: LayerPlies
    full: bool


def resolve_layers(
    layup: tuple[Layer, ...], part: Part, materials: Mapping[str, Material], known: dict[object, LayerPlies]
) -> list[ResolvedLayer]:
    """Each line of a layup with its plies; `known` keeps the plies of layers met before.

    Raises NotComputable where a material, a fibre mass fraction or a core uptake is missing.
    """
    resolved = []
    for number, layer in enumerate(layup, start=1):
        material = materials.get(layer.material)
        resin = layer.resin or part.resin
        if material is None:
            raise NotComputable(f"no material `{layer.material}`")
        made_of = _ingredients(material, resin, materials)
        key = _key(layer, part, made_of)
        plies = known.get(key)
        if plies is None:
            plies = known[key] = layer_plies(layer, part, materials, made_of)
        resolved.append(ResolvedLayer(number, layer, material, resin, plies, layer.coverage_fraction >= 1.0))
    return resolved


Ingredients = tuple[Material | None, ...]


def _ingredients(material: Material, resin: str, materials: Mapping[str, Material]) -> Ingredients:
    """What a layer is computed from: two revisions of a fibre or a resin must not be mixed up."""
    if not isinstance(material, Reinforcement):
        return (material,)
    return (material, materials.get(resin), *[materials.get(name) for name in _fibre_names(material)])


def _fibre_names(fabric: Reinforcement) -> list[str]:
    return [direction.fibre or fabric.fibre for direction in fabric.directions]


def _key(layer: Layer, part: Part, made_of: Ingredients) -> object:
    return (
        tuple(map(id, made_of)),
        layer.process or part.process,
        layer.thickness_mm,
        layer.angle_deg,
        layer.flipped,
        layer.fibre_mass_fraction,
        layer.uptake_g_m2,
    )


def layer_plies(
    layer: Layer, part: Part, materials: Mapping[str, Material], made_of: Ingredients = ()
) -> LayerPlies:
    """One ply of a layer; raises NotComputable as `resolve_layers` does."""
    material = materials.get(layer.material)
    if isinstance(material, Reinforcement):
        plies = _fabric_plies(layer, part, material, materials)
    elif isinstance(material, Core):
        plies = _core_plies(layer, part, material)
    elif isinstance(material, Coating):
        plies = _coating_plies(layer, material)
    else:
        raise NotComputable(f"`{layer.material}` is not a reinforcement, core or coating")
    total, carries = float(plies.thickness_m.sum()), bool(plies.q_bar_pa.any())
    return replace(plies, total_m=total, carries=carries, checks=_checks(plies), made_of=made_of)


def _checks(plies: LayerPlies) -> FloatArray:
    limits = plies.limits
    if limits is None:
        return np.zeros((0, 7))
    given = [getattr(limits, mode) or np.nan for mode in ("tension", "compression", "transverse", "shear")]
    single = len(plies.thickness_m) == 1
    rows = [
        [0 if single else n, s.angle_rad, s.random, *given[:2], *([np.nan] * 2 if s.random else given[2:])]
        for n, s in enumerate(plies.sub_plies)
    ]
    return np.array([row for row in rows if np.isfinite(row[3:]).any()], dtype=float).reshape(-1, 7)


def _thickness_m(layer: Layer) -> float:
    if layer.thickness_mm is None:
        raise NotComputable(f"no thickness of `{layer.material}`")
    return layer.thickness_mm * MM


def _coating_plies(layer: Layer, material: Coating) -> LayerPlies:
    thickness = _thickness_m(layer)
    return LayerPlies(
        np.zeros((1, 3, 3)), np.zeros((1, 2)), np.array([thickness]), (), None,
        0.0, 0.0, material.density_kg_m3 * thickness, 0.0,
    )  # fmt: skip


def _core_plies(layer: Layer, part: Part, material: Core) -> LayerPlies:
    thickness = _thickness_m(layer)
    e, nu = material.e_inplane_mpa * MPA, material.nu
    unit = ply.reduced_stiffness(np.ones(1), np.ones(1), np.array([1 / (2 * (1 + nu))]), np.array([nu]))
    own = material.density_kg_m3 * thickness
    return LayerPlies(
        e * unit, np.array([core_shear_moduli(material, layer.angle_deg)]), np.array([thickness]), (), None,
        0.0, 0.0, own, core_uptake(layer, part, material),
    )  # fmt: skip


def core_shear_moduli(material: Core, angle_deg: float) -> tuple[float, float]:
    """Transverse shear moduli Gx, Gy of a core laid at an angle, its strong direction L along it [Pa]."""
    if material.g_mpa is not None:
        return material.g_mpa * MPA, material.g_mpa * MPA
    if material.g_l_mpa is None or material.g_w_mpa is None:
        raise NotComputable("a core without a shear modulus")
    along = np.cos(np.radians(angle_deg)) ** 2
    strong, weak = material.g_l_mpa * MPA, material.g_w_mpa * MPA
    return strong * along + weak * (1 - along), strong * (1 - along) + weak * along


def core_uptake(layer: Layer, part: Part, material: Core) -> float:
    """Resin a core takes up: both cut faces and the holes and grooves, or the layer's own value [kg/m²]."""
    if layer.uptake_g_m2 is not None:
        return layer.uptake_g_m2 * GRAM
    process = layer.process or part.process
    surface = material.surface_uptake_g_m2.get(process)
    perforation = material.perforation_uptake_g_m2_mm.get(process)
    if surface is None or perforation is None:
        raise NotComputable(f"no resin uptake of `{layer.material}` for {process}")
    return (2 * surface + perforation * (layer.thickness_mm or 0.0)) * GRAM


def _fabric_plies(
    layer: Layer, part: Part, fabric: Reinforcement, materials: Mapping[str, Material]
) -> LayerPlies:
    dry = fabric.areal_mass_g_m2 * GRAM
    if fabric.lamina is not None:
        sub_plies = tested_sub_plies(layer, fabric, materials)
        total, voids = fabric.lamina.thickness_mm * MM * fabric.lamina.density_kg_m3, 0.0
        resin = total - dry
    else:
        fraction = fibre_fraction(layer, part, fabric)
        sub_plies = estimated_sub_plies(layer, part, fabric, materials, fraction)
        resin, voids = dry * (1 - fraction) / fraction, void_fraction(layer, part, fabric)
    if layer.flipped:
        sub_plies = sub_plies[::-1]
    return replace(_stacked(sub_plies, fabric, dry, resin), void_fraction=voids)


def _stacked(sub_plies: tuple[SubPly, ...], fabric: Reinforcement, fibre: float, resin: float) -> LayerPlies:
    columns = np.array([[s.e1_pa, s.e2_pa, s.g12_pa, s.nu12, s.thickness_m, s.angle_rad] for s in sub_plies])
    e1, e2, g12, nu12, thickness, angle = columns.T
    q_bar = ply.rotated_stiffness(ply.reduced_stiffness(e1, e2, g12, nu12), angle)
    g = np.stack([g12, g12], axis=-1)
    if fabric.woven:
        share = thickness / thickness.sum()
        q_bar = np.einsum("k,kij->ij", share, q_bar)[None]
        g = (share @ g)[None]
        thickness = thickness.sum(keepdims=True)
    return LayerPlies(q_bar, g, thickness, sub_plies, fabric.strain_limits, fibre, resin, fibre + resin, 0.0)


def line_words(layer: ResolvedLayer) -> str:
    """`layer 3 biax-800`, the line counted from the mould side."""
    return f"layer {layer.line} {layer.layer.material}"
