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
    VoidFraction,
)
from recipe_track.recipe.quantities import (
    ANGLE,
    FIBRE_FRACTION,
    THICKNESS,
    VOIDS,
    Label,
    Ordinary,
    Quantity,
)

Source = Annotated[NonEmptyText, Label("source", "nothing")]
DENSITY = Quantity("density", decimals=0)
POISSON = Quantity("Poisson's ratio", "stiffness")
TOLERANCE = Ordinary(0.005, 0.10)
DIRECT = Ordinary(0.001, 0.02)
FILM = Ordinary(0.05, 2)
Supplier = Annotated[str | None, Label("supplier", "purchasing")]
ProductCode = Annotated[str | None, Label("product code", "purchasing")]
Certificate = Annotated[str | None, Label("certificate", "purchasing")]


class Fibre(RecipeTable):
    """A fibre as measured or as a handbook states it."""

    kind: Annotated[Literal["fibre"], Label("kind")]
    source: Source
    density_kg_m3: Annotated[Positive, DENSITY, Ordinary(1300, 2800, of=" for a fibre")]
    e_axial_gpa: Annotated[Positive, Quantity("modulus along the fibre", "stiffness"), Ordinary(25, 650)]
    e_transverse_gpa: Annotated[
        Positive | None, Quantity("modulus across the fibre", "stiffness"), Ordinary(3, 100)
    ] = None
    g_gpa: Annotated[Positive, Quantity("shear modulus", "stiffness"), Ordinary(1, 45)]
    nu: Annotated[PoissonIsotropic, POISSON, Ordinary(0.1, 0.45)]


class Resin(RecipeTable):
    """A cured resin."""

    kind: Annotated[Literal["resin"], Label("kind")]
    source: Source
    density_kg_m3: Annotated[Positive, DENSITY, Ordinary(1000, 1400, of=" for a resin")]
    e_gpa: Annotated[Positive, Quantity("modulus", "stiffness"), Ordinary(2, 5, of=" for a resin")]
    nu: Annotated[PoissonIsotropic, POISSON, Ordinary(0.28, 0.42, of=" for a resin")]


class Direction(RecipeTable):
    """One direction of a fabric; a mat has `random` in place of the angle."""

    share: Annotated[PositiveFraction, Quantity("share")]
    angle_deg: Annotated[Finite | None, ANGLE] = None
    random: Annotated[Literal[True] | None, Label("random", "stiffness")] = None
    fibre: Annotated[Id | None, Label("fibre")] = None


class StrainLimits(RecipeTable):
    """Design strains of a reinforcement, dimensionless; what is absent is not checked."""

    tension: Annotated[Positive | None, Quantity("tension", "stiffness"), DIRECT] = None
    compression: Annotated[Positive | None, Quantity("compression", "stiffness"), DIRECT] = None
    transverse: Annotated[Positive | None, Quantity("transverse", "stiffness"), Ordinary(0.0005, 0.01)] = None
    shear: Annotated[Positive | None, Quantity("shear", "stiffness"), Ordinary(0.002, 0.03)] = None


class Lamina(RecipeTable):
    """Tested ply values that replace the estimate."""

    e1_gpa: Annotated[Positive, Quantity("e1", "stiffness"), Ordinary(5, 350)]
    e2_gpa: Annotated[Positive, Quantity("e2", "stiffness"), Ordinary(3, 70)]
    g12_gpa: Annotated[Positive, Quantity("g12", "stiffness"), Ordinary(1.5, 35)]
    nu12: Annotated[Finite, Quantity("nu12", "stiffness")]
    thickness_mm: Annotated[Positive, THICKNESS]
    density_kg_m3: Annotated[Positive, DENSITY, Ordinary(1300, 2200, of=" for a laminate")]


class Reinforcement(RecipeTable):
    """A fabric, a mat or a stitched combination."""

    kind: Annotated[Literal["reinforcement"], Label("kind")]
    fibre: Annotated[Id, Label("fibre")]
    areal_mass_g_m2: Annotated[Positive, Quantity("areal mass"), Ordinary(80, 2500)]
    directions: Annotated[tuple[Direction, ...], Field(strict=False, min_length=1), Label("direction")]
    woven: Annotated[bool, Label("woven", "stiffness")] = False
    fibre_mass_fraction: Annotated[dict[Process, FibreFraction], FIBRE_FRACTION] = Field(default_factory=dict)
    void_fraction: Annotated[dict[Process, VoidFraction], VOIDS, Ordinary(0, 0.08)] = Field(
        default_factory=dict
    )
    stiffness_factor: Annotated[Positive, Quantity("stiffness factor", "stiffness"), Ordinary(0.6, 1.0)] = 1.0
    strain_limits: Annotated[StrainLimits | None, Label("strain limits", "stiffness")] = None
    lamina: Annotated[Lamina | None, Label("lamina")] = None
    supplier: Supplier = None
    product_code: ProductCode = None
    certificate: Certificate = None
    roll_width_m: Annotated[Positive | None, Quantity("roll width", "purchasing"), Ordinary(0.02, 4)] = None
    areal_mass_tolerance_fraction: Annotated[
        Fraction | None, Quantity("areal mass tolerance fraction", "uncertainty"), TOLERANCE
    ] = None
    fibre_mass_fraction_tolerance: Annotated[
        Fraction | None, Quantity("fibre mass fraction tolerance", "uncertainty"), TOLERANCE
    ] = None


class Core(RecipeTable):
    """A sandwich core; resin uptake is stated per process, 0 where there is none."""

    kind: Annotated[Literal["core"], Label("kind")]
    density_kg_m3: Annotated[Positive, DENSITY]
    e_inplane_mpa: Annotated[NotNegative, Quantity("modulus in its plane", "stiffness")] = 0.0
    nu: Annotated[PoissonIsotropic, POISSON] = 0.3
    e_through_mpa: Annotated[Positive | None, Quantity("modulus through the thickness", "stiffness")] = None
    g_mpa: Annotated[Positive | None, Quantity("shear modulus across the thickness", "stiffness")] = None
    g_l_mpa: Annotated[
        Positive | None, Quantity("shear modulus across the thickness, strong direction", "stiffness")
    ] = None
    g_w_mpa: Annotated[
        Positive | None, Quantity("shear modulus across the thickness, weak direction", "stiffness")
    ] = None
    shear_strength_mpa: Annotated[Positive | None, Quantity("shear strength", "stiffness")] = None
    shear_strength_l_mpa: Annotated[
        Positive | None, Quantity("shear strength, strong direction", "stiffness")
    ] = None
    shear_strength_w_mpa: Annotated[
        Positive | None, Quantity("shear strength, weak direction", "stiffness")
    ] = None
    compressive_strength_mpa: Annotated[
        Positive | None, Quantity("compressive strength through the thickness", "stiffness")
    ] = None
    board_m2: Annotated[Positive | None, Quantity("board", "purchasing"), Ordinary(0.2, 6)] = None
    thickness_tolerance_mm: Annotated[
        NotNegative | None, Quantity("thickness tolerance", "uncertainty"), Ordinary(0, 2)
    ] = None
    surface_uptake_g_m2: Annotated[
        dict[Process, NotNegative], Quantity("surface uptake"), Ordinary(20, 800, also=(0,))
    ]
    perforation_uptake_g_m2_mm: Annotated[
        dict[Process, NotNegative], Quantity("perforation uptake"), Ordinary(0, 25)
    ]
    supplier: Supplier = None
    product_code: ProductCode = None
    certificate: Certificate = None


class Coating(RecipeTable):
    """Gelcoat, barrier coat or paint: weighs, carries nothing."""

    kind: Annotated[Literal["coating"], Label("kind")]
    density_kg_m3: Annotated[Positive, DENSITY, Ordinary(1000, 1700, of=" for a coating")]
    wet_thickness_mm: Annotated[Positive | None, Quantity("wet thickness"), FILM] = None
    cured_thickness_mm: Annotated[Positive | None, Quantity("cured thickness"), FILM] = None
    liquid_density_kg_m3: Annotated[
        Positive | None,
        Quantity("liquid density", decimals=0),
        Ordinary(1000, 1700, of=" for a coating"),
    ] = None
    supplier: Supplier = None
    product_code: ProductCode = None
    certificate: Certificate = None


class Paste(RecipeTable):
    """Bonding paste or filler: weighs, used in joints."""

    kind: Annotated[Literal["paste"], Label("kind")]
    density_kg_m3: Annotated[Positive, DENSITY, Ordinary(800, 1700, of=" for a paste")]
    supplier: Supplier = None
    product_code: ProductCode = None
    certificate: Certificate = None


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
