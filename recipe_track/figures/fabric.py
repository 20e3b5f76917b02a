"""The directions of a fabric: thickness and constants of each, estimated or as tested."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recipe_track.figures.materials import NotComputable, material_of
from recipe_track.figures.si import GPA, GRAM, MM
from recipe_track.mechanics import ply
from recipe_track.mechanics.arrays import FloatArray
from recipe_track.recipe.craft import Part
from recipe_track.recipe.layup import Layer
from recipe_track.recipe.materials import Fibre, Material, Reinforcement, Resin


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


def fibre_fraction(layer: Layer, part: Part, fabric: Reinforcement) -> float:
    """Fibre mass fraction in force: the layer's own, else the fabric's for the process in use."""
    process = layer.process or part.process
    fraction = layer.fibre_mass_fraction or fabric.fibre_mass_fraction.get(process)
    if fraction is None:
        raise NotComputable(f"no fibre mass fraction of `{layer.material}` for {process}")
    return fraction


def void_fraction(layer: Layer, part: Part, fabric: Reinforcement) -> float:
    """Voids by volume for the process in use; none where none are stated."""
    return fabric.void_fraction.get(layer.process or part.process, 0.0)


def _angles(layer: Layer, fabric: Reinforcement) -> list[float]:
    turn = -1.0 if layer.flipped else 1.0
    return [np.radians(layer.angle_deg + turn * (d.angle_deg or 0.0)) for d in fabric.directions]


def tested_sub_plies(
    layer: Layer, fabric: Reinforcement, materials: Mapping[str, Material]
) -> tuple[SubPly, ...]:
    lamina = fabric.lamina
    assert lamina is not None
    plies = []
    for direction, angle in zip(fabric.directions, _angles(layer, fabric), strict=True):
        fibre = material_of(materials, direction.fibre or fabric.fibre, Fibre)
        thickness = direction.share * lamina.thickness_mm * MM
        volume = direction.share * fabric.areal_mass_g_m2 * GRAM / fibre.density_kg_m3 / thickness
        plies.append(
            SubPly(
                lamina.e1_gpa * GPA, lamina.e2_gpa * GPA, lamina.g12_gpa * GPA, lamina.nu12,
                thickness, volume, angle, direction.random is True,
            )
        )  # fmt: skip
    return tuple(plies)


def estimated_sub_plies(
    layer: Layer, part: Part, fabric: Reinforcement, materials: Mapping[str, Material], fraction: float
) -> tuple[SubPly, ...]:
    resin = material_of(materials, layer.resin or part.resin, Resin)
    fibres = [material_of(materials, d.fibre or fabric.fibre, Fibre) for d in fabric.directions]
    random = np.array([d.random is True for d in fabric.directions])
    dry = np.array([d.share * fabric.areal_mass_g_m2 * GRAM for d in fabric.directions])
    thickness, volume = ply.cured_ply(
        dry, np.array(fraction), np.array([f.density_kg_m3 for f in fibres]), np.array(resin.density_kg_m3)
    )
    voids = void_fraction(layer, part, fabric)
    thickness, volume = ply.with_voids(thickness, volume, np.array(voids))
    constants = _estimated_constants(volume, fibres, resin, random, voids) * [
        [fabric.stiffness_factor], [fabric.stiffness_factor], [fabric.stiffness_factor], [1.0]
    ]  # fmt: skip
    rows = np.vstack([constants, thickness, volume, _angles(layer, fabric)]).T
    return tuple(
        SubPly(e1, e2, g12, nu12, t, v, angle, bool(mat))
        for (e1, e2, g12, nu12, t, v, angle), mat in zip(rows.tolist(), random, strict=True)
    )


def _estimated_constants(
    volume: FloatArray, fibres: list[Fibre], resin: Resin, random: NDArray[np.bool_], voids: float
) -> FloatArray:
    """Rows E1, E2, G12 [Pa], ν12 of each direction; those of a mat are isotropic."""
    axial = np.array([f.e_axial_gpa for f in fibres]) * GPA
    transverse = np.array([f.e_transverse_gpa or f.e_axial_gpa for f in fibres]) * GPA
    shear = np.array([f.g_gpa for f in fibres]) * GPA
    nu = np.array([f.nu for f in fibres])
    e1, e2, g12, nu12 = ply.unidirectional_constants(
        volume, axial, transverse, shear, nu, np.array(resin.e_gpa * GPA), np.array(resin.nu), voids
    )
    e, g, nu_mat = ply.random_mat_constants(e1, e2)
    return np.where(random, [e, e, g, nu_mat], [e1, e2, g12, nu12])
