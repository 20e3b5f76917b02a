"""From a layer to its plies: constants of every direction, thickness and masses, converted to SI once."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from recipe_track.mechanics import ply
from recipe_track.recipe.craft import Part
from recipe_track.recipe.layup import Layer
from recipe_track.recipe.materials import (
    Coating,
    Core,
    Fibre,
    Material,
    Reinforcement,
    Resin,
    StrainLimits,
)

FloatArray = NDArray[np.float64]
MM, GPA, MPA, GRAM = 1e-3, 1e9, 1e6, 1e-3
M = TypeVar("M", Fibre, Resin, Core)


class NotComputable(ValueError):
    """A figure that cannot be computed from what is written; says what is missing."""


@dataclass(frozen=True, slots=True)
class SubPly:
    """One direction of a fabric in its own axes, SI units; a random one has no angle that matters."""

    e1_pa: float
    e2_pa: float
    g12_pa: float
    nu12: float
    thickness_m: float
    fibre_volume_fraction: float
    angle_rad: float
    random: bool


@dataclass(frozen=True, slots=True, eq=False)
class LayerPlies:
    """One ply of a layer, mould side first: k plies in zone axes and what they weigh per square metre.

    q_bar_pa (k, 3, 3), g_pa (k, 2) as Gx and Gy, thickness_m (k,). A woven fabric is one ply (k = 1) of
    several `sub_plies`; otherwise ply i is sub-ply i. Coatings have neither stiffness nor sub-plies.
    `total_m` is their thickness together, `carries` whether any has stiffness; `made_of` keeps the materials
    alive by whose identity plies are known again.
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
    carries: bool = False
    made_of: "Ingredients" = ()


@dataclass(frozen=True, slots=True, eq=False)
class ResolvedLayer:
    """A line of a layup with its material, its resin and its plies."""

    line: int
    layer: Layer
    material: Material
    resin: str
    plies: LayerPlies

    @property
    def full(self) -> bool:
        """Whether it covers the whole zone and so counts in stiffness and thickness."""
        return self.layer.coverage_fraction >= 1.0


def find(materials: Mapping[str, Material], name: str, kind: type[M]) -> M:
    """The material of that name and kind; NotComputable if there is none."""
    found = materials.get(name)
    if not isinstance(found, kind):
        raise NotComputable(f"no {kind.__name__.lower()} `{name}`")
    return found


def fibre_fraction(layer: Layer, part: Part, fabric: Reinforcement) -> float:
    """Fibre mass fraction in force: the layer's own, else the fabric's for the process in use."""
    process = layer.process or part.process
    fraction = layer.fibre_mass_fraction or fabric.fibre_mass_fraction.get(process)
    if fraction is None:
        raise NotComputable(f"no fibre mass fraction of `{layer.material}` for {process}")
    return fraction


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
        resolved.append(ResolvedLayer(number, layer, material, resin, plies))
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
    return replace(plies, total_m=total, carries=carries, made_of=made_of)


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
        sub_plies = _tested_sub_plies(layer, fabric, materials)
        total = fabric.lamina.thickness_mm * MM * fabric.lamina.density_kg_m3
        resin = total - dry
    else:
        fraction = fibre_fraction(layer, part, fabric)
        sub_plies = _estimated_sub_plies(layer, part, fabric, materials, fraction)
        resin = dry * (1 - fraction) / fraction
    if layer.flipped:
        sub_plies = sub_plies[::-1]
    return _stacked(sub_plies, fabric, dry, resin)


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


def _angles(layer: Layer, fabric: Reinforcement) -> list[float]:
    turn = -1.0 if layer.flipped else 1.0
    return [np.radians(layer.angle_deg + turn * (d.angle_deg or 0.0)) for d in fabric.directions]


def _tested_sub_plies(
    layer: Layer, fabric: Reinforcement, materials: Mapping[str, Material]
) -> tuple[SubPly, ...]:
    lamina = fabric.lamina
    assert lamina is not None
    plies = []
    for direction, angle in zip(fabric.directions, _angles(layer, fabric), strict=True):
        fibre = find(materials, direction.fibre or fabric.fibre, Fibre)
        thickness = direction.share * lamina.thickness_mm * MM
        volume = direction.share * fabric.areal_mass_g_m2 * GRAM / fibre.density_kg_m3 / thickness
        plies.append(
            SubPly(
                lamina.e1_gpa * GPA, lamina.e2_gpa * GPA, lamina.g12_gpa * GPA, lamina.nu12,
                thickness, volume, angle, direction.random is True,
            )
        )  # fmt: skip
    return tuple(plies)


def _estimated_sub_plies(
    layer: Layer, part: Part, fabric: Reinforcement, materials: Mapping[str, Material], fraction: float
) -> tuple[SubPly, ...]:
    resin = find(materials, layer.resin or part.resin, Resin)
    fibres = [find(materials, d.fibre or fabric.fibre, Fibre) for d in fabric.directions]
    random = np.array([d.random is True for d in fabric.directions])
    dry = np.array([d.share * fabric.areal_mass_g_m2 * GRAM for d in fabric.directions])
    thickness, volume = ply.cured_ply(
        dry, np.array(fraction), np.array([f.density_kg_m3 for f in fibres]), np.array(resin.density_kg_m3)
    )
    constants = _estimated_constants(volume, fibres, resin, random) * [
        [fabric.stiffness_factor], [fabric.stiffness_factor], [fabric.stiffness_factor], [1.0]
    ]  # fmt: skip
    rows = np.vstack([constants, thickness, volume, _angles(layer, fabric)]).T
    return tuple(
        SubPly(e1, e2, g12, nu12, t, v, angle, bool(mat))
        for (e1, e2, g12, nu12, t, v, angle), mat in zip(rows.tolist(), random, strict=True)
    )


def _estimated_constants(
    volume: FloatArray, fibres: list[Fibre], resin: Resin, random: NDArray[np.bool_]
) -> FloatArray:
    """Rows E1, E2, G12 [Pa], ν12 of each direction; those of a mat are isotropic."""
    axial = np.array([f.e_axial_gpa for f in fibres]) * GPA
    transverse = np.array([f.e_transverse_gpa or f.e_axial_gpa for f in fibres]) * GPA
    shear = np.array([f.g_gpa for f in fibres]) * GPA
    nu = np.array([f.nu for f in fibres])
    e1, e2, g12, nu12 = ply.unidirectional_constants(
        volume, axial, transverse, shear, nu, np.array(resin.e_gpa * GPA), np.array(resin.nu)
    )
    e, g, nu_mat = ply.random_mat_constants(e1, e2)
    return np.where(random, [e, e, g, nu_mat], [e1, e2, g12, nu12])
