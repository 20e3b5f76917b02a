"""Materials: fibres and resins, the reinforcements made of them, cores, coatings and pastes."""

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field

from recipe_track.recipe.fields import (
    FibreFraction,
    Finite,
    Fraction,
    Id,
    NonEmptyText,
    NotNegative,
    PoissonIsotropic,
    Positive,
    PositiveFraction,
    Process,
    RecipeTable,
)


class Fibre(RecipeTable):
    """A fibre as measured or as a handbook states it."""

    kind: Literal["fibre"]
    source: NonEmptyText
    density_kg_m3: Positive
    e_axial_gpa: Positive
    e_transverse_gpa: Positive | None = None
    g_gpa: Positive
    nu: PoissonIsotropic


class Resin(RecipeTable):
    """A cured resin."""

    kind: Literal["resin"]
    source: NonEmptyText
    density_kg_m3: Positive
    e_gpa: Positive
    nu: PoissonIsotropic


class Direction(RecipeTable):
    """One direction of a fabric; a mat has `random` in place of the angle."""

    share: PositiveFraction
    angle_deg: Finite | None = None
    random: Literal[True] | None = None
    fibre: Id | None = None


class StrainLimits(RecipeTable):
    """Design strains of a reinforcement, dimensionless; what is absent is not checked."""

    tension: Positive | None = None
    compression: Positive | None = None
    transverse: Positive | None = None
    shear: Positive | None = None


class Lamina(RecipeTable):
    """Tested ply values that replace the estimate."""

    e1_gpa: Positive
    e2_gpa: Positive
    g12_gpa: Positive
    nu12: Finite
    thickness_mm: Positive
    density_kg_m3: Positive


class Reinforcement(RecipeTable):
    """A fabric, a mat or a stitched combination."""

    kind: Literal["reinforcement"]
    fibre: Id
    areal_mass_g_m2: Positive
    directions: Annotated[tuple[Direction, ...], Field(strict=False, min_length=1)]
    woven: bool = False
    fibre_mass_fraction: dict[Process, FibreFraction] = Field(default_factory=dict)
    stiffness_factor: Positive = 1.0
    strain_limits: StrainLimits | None = None
    lamina: Lamina | None = None
    supplier: str | None = None
    product_code: str | None = None
    certificate: str | None = None
    roll_width_m: Positive | None = None
    areal_mass_tolerance_fraction: Fraction | None = None
    fibre_mass_fraction_tolerance: Fraction | None = None


class Core(RecipeTable):
    """A sandwich core; resin uptake is stated per process, 0 where there is none."""

    kind: Literal["core"]
    density_kg_m3: Positive
    e_inplane_mpa: NotNegative = 0.0
    nu: PoissonIsotropic = 0.3
    e_through_mpa: Positive | None = None
    g_mpa: Positive | None = None
    g_l_mpa: Positive | None = None
    g_w_mpa: Positive | None = None
    shear_strength_mpa: Positive | None = None
    board_m2: Positive | None = None
    thickness_tolerance_mm: NotNegative | None = None
    surface_uptake_g_m2: dict[Process, NotNegative]
    perforation_uptake_g_m2_mm: dict[Process, NotNegative]
    supplier: str | None = None
    product_code: str | None = None
    certificate: str | None = None


class Coating(RecipeTable):
    """Gelcoat, barrier coat or paint: weighs, carries nothing."""

    kind: Literal["coating"]
    density_kg_m3: Positive
    wet_thickness_mm: Positive | None = None
    cured_thickness_mm: Positive | None = None
    supplier: str | None = None
    product_code: str | None = None
    certificate: str | None = None


class Paste(RecipeTable):
    """Bonding paste or filler: weighs, used in joints."""

    kind: Literal["paste"]
    density_kg_m3: Positive
    supplier: str | None = None
    product_code: str | None = None
    certificate: str | None = None


Material = Annotated[
    Fibre | Resin | Reinforcement | Core | Coating | Paste,
    Field(discriminator="kind"),
]


def mats_of(materials: Mapping[str, Material]) -> frozenset[str]:
    """Fabrics without any direction, of which no angle is said."""
    return frozenset(
        name
        for name, material in materials.items()
        if isinstance(material, Reinforcement) and all(d.random for d in material.directions)
    )
