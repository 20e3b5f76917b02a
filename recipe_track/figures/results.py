"""What is computed, as frozen records; every number says what it is called, its unit and its digits."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal

from recipe_track.recipe.layup import PartOfSection
from recipe_track.recipe.quantities import (
    ANGLE,
    AREA,
    BEAM_DEFLECTION,
    CENTRE,
    COST,
    DEFLECTION,
    EI_ACROSS,
    EI_ALONG,
    EI_STIFFENER,
    FILL,
    LCG,
    MASS,
    PLIES,
    TCG,
    THICKNESS,
    VCG,
    VOIDS,
    Quantity,
    quantities_of,
    single_numbers,
)

Matrix = tuple[tuple[float, ...], ...]
Centre = tuple[float, float, float]
Number = float | None

FREQUENCY = Quantity("natural frequency", decimals=1, better="greater", rank=5, shown="changed")
MODULUS_CROWN = Quantity("section modulus, crown", decimals=1, better="greater", rank=3, shown="changed")
MODULUS_BASE = Quantity("section modulus, base", decimals=1, better="greater", rank=3, shown="changed")
EX, EY = Quantity("E along", decimals=1), Quantity("E across", decimals=1)
GXY, NU_XY = Quantity("G in plane", decimals=1), Quantity("Poisson's ratio", decimals=2)
MATERIAL_COST = Quantity("material", decimals=0, better="smaller", unit="¤", rank=8)
LABOUR_COST = Quantity("labour", decimals=0, better="smaller", unit="¤", rank=8)
PROCESS_COST = Quantity("process", decimals=0, better="smaller", unit="¤", rank=8)
LAMINATE_MASS = Quantity("laminate mass", decimals=1, better="smaller", rank=2, shown="changed")


@dataclass(frozen=True, slots=True)
class Requirement:
    """A required minimum, limit or target and the figure held against it; `met` None without a figure.

    Where it holds for several loads, `value` is the worst of `by_load` and `load` names it.
    """

    key: str
    limit: float | tuple[float, float]
    value: float | None
    met: bool | None
    load: str | None = None
    by_load: Mapping[str, Number] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Steady:
    """What shakes at a steady frequency, of a shaft at `rpm` if it is one, against that of a panel."""

    rpm: Annotated[Number, Quantity("speed", decimals=0)]
    hz: Annotated[float, Quantity("frequency", decimals=1)]
    ratio: Annotated[float, Quantity("of the panel's frequency", decimals=2)]
    within_band: bool


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where an order of a shaft meets the frequency of a panel; without a name a fixed frequency.

    `wet` tells that it is the frequency with water against the panel; `in_range` whether the speed is one
    that the shaft runs at, None where no range is stated.
    """

    name: str | None
    frequency_hz: Annotated[float, FREQUENCY]
    wet: bool
    band_fraction: Annotated[float, Quantity("band", decimals=2)]
    meets_rpm: Annotated[Number, Quantity("speed at which it meets the panel", decimals=0)]
    in_range: bool | None
    steady: tuple[Steady, ...]


@dataclass(frozen=True, slots=True)
class LaminateMatrices:
    """A, B and D of classical lamination theory, 3×3 each."""

    a_n_per_mm: Annotated[Matrix, Quantity("A")]
    b_n: Annotated[Matrix, Quantity("B")]
    d_n_mm: Annotated[Matrix, Quantity("D")]


@dataclass(frozen=True, slots=True)
class ZoneFigures:
    """Everything computed for one zone; None where a figure has no meaning for its form."""

    zone: str
    name: str | None
    form: str
    area_m2: Annotated[Number, AREA]
    thickness_mm: Annotated[Number, THICKNESS]
    structural_thickness_mm: Annotated[Number, Quantity("structural thickness", decimals=1, better="greater")]
    core_thickness_mm: Annotated[Number, Quantity("core thickness", decimals=1, better="greater")]
    areal_mass_kg_m2: Annotated[Number, Quantity("areal mass", decimals=2, better="smaller")]
    mass_kg: Annotated[float, MASS]
    mass_by_kind_kg: Annotated[Mapping[str, float], Quantity("mass by kind", decimals=1)]
    fibre_kg_m2: Annotated[Number, Quantity("fibre", decimals=2, better="greater")]
    outer_fibre_kg_m2: Annotated[Number, Quantity("fibre, outer skin", decimals=2, better="greater")]
    inner_fibre_kg_m2: Annotated[Number, Quantity("fibre, inner skin", decimals=2, better="greater")]
    fibre_mass_fraction: Annotated[Number, Quantity("fibre by mass")]
    centroid_m: Annotated[Centre, Quantity("centre")]
    ea_x_mn_per_m: Annotated[Number, Quantity("EA along", decimals=1, better="greater")]
    ea_y_mn_per_m: Annotated[Number, Quantity("EA across", decimals=1, better="greater")]
    ei_x_kn_m2_per_m: Annotated[Number, EI_ALONG]
    ei_y_kn_m2_per_m: Annotated[Number, EI_ACROSS]
    s_x_kn_per_m: Annotated[Number, Quantity("shear stiffness along", decimals=0, better="greater")]
    s_y_kn_per_m: Annotated[Number, Quantity("shear stiffness across", decimals=0, better="greater")]
    ex_gpa: Annotated[Number, EX]
    ey_gpa: Annotated[Number, EY]
    gxy_gpa: Annotated[Number, GXY]
    nu_xy: Annotated[Number, NU_XY]
    laminate: LaminateMatrices | None
    deflection_mm: Annotated[Number, DEFLECTION]
    patch_deflection_mm: Annotated[
        Number,
        Quantity("deflection under the foot load", decimals=2, better="smaller", rank=4, shown="changed"),
    ]
    core_shear_use: Annotated[Number, Quantity("core shear use", better="smaller", rank=7, shown="changed")]
    strain_use: Annotated[Number, Quantity("strain use", better="smaller", rank=6, shown="changed")]
    wrinkling_use: Annotated[Number, Quantity("wrinkling use", better="smaller", rank=7, shown="changed")]
    patch_core_shear_use: Annotated[
        Number,
        Quantity("core shear use under the foot load", better="smaller", rank=7, shown="changed"),
    ]
    patch_strain_use: Annotated[
        Number, Quantity("strain use under the foot load", better="smaller", rank=6, shown="changed")
    ]
    patch_wrinkling_use: Annotated[
        Number, Quantity("wrinkling use under the foot load", better="smaller", rank=7, shown="changed")
    ]
    core_crush_use: Annotated[Number, Quantity("core crush use", better="smaller", rank=7, shown="changed")]
    frequency_hz: Annotated[Number, FREQUENCY]
    frequency_wet_hz: Annotated[
        Number, Quantity("frequency with water against it", decimals=1, rank=5, shown="changed")
    ]
    deflection_membrane_mm: Annotated[
        Number,
        Quantity("deflection with stretch", decimals=2, better="smaller", rank=4, shown="changed"),
    ]
    material_cost: Annotated[Number, MATERIAL_COST]
    labour_cost: Annotated[Number, LABOUR_COST]
    cost: Annotated[Number, COST]
    required: tuple[Requirement, ...] = ()
    notes: tuple[str, ...] = ()
    hold: tuple[str, ...] = ()
    governs: Mapping[str, str] = field(default_factory=dict)
    exceeded: tuple[str, ...] = ()
    not_checked: tuple[str, ...] = ()
    excitation: tuple[Meeting, ...] = ()
    ei_stiffener_kn_m2: Annotated[Number, EI_STIFFENER] = None
    neutral_axis_mm: Annotated[Number, Quantity("neutral axis of the stiffener", decimals=1)] = None
    section_modulus_crown_cm3: Annotated[Number, MODULUS_CROWN] = None
    section_modulus_base_cm3: Annotated[Number, MODULUS_BASE] = None
    ga_web_kn: Annotated[Number, Quantity("GA of the webs", decimals=0, better="greater")] = None
    beam_deflection_mm: Annotated[Number, BEAM_DEFLECTION] = None
    beam_strain_use: Annotated[
        Number, Quantity("beam strain use", better="smaller", rank=6, shown="changed")
    ] = None
    web_shear_use: Annotated[Number, Quantity("web shear use", better="smaller", rank=6, shown="changed")] = (
        None
    )


@dataclass(frozen=True, slots=True)
class PartFigures:
    """One moulding; its cost holds the process beside material and labour."""

    part: str
    mass_kg: Annotated[float, MASS]
    centroid_m: Annotated[Centre | None, CENTRE]
    material_cost: Annotated[Number, MATERIAL_COST]
    labour_cost: Annotated[Number, LABOUR_COST]
    process_cost: Annotated[Number, PROCESS_COST]
    cost: Annotated[Number, COST]


@dataclass(frozen=True, slots=True)
class ConditionFigures:
    """The craft in one loading condition; `fill` counts the variable masses."""

    name: str
    fill: Annotated[float, FILL]
    mass_kg: Annotated[float, MASS]
    centroid_m: Annotated[Centre | None, CENTRE]


@dataclass(frozen=True, slots=True)
class CraftFigures:
    """The whole craft in the targets' condition."""

    condition: str
    laminate_mass_kg: Annotated[float, LAMINATE_MASS]
    mass_kg: Annotated[float, MASS]
    centroid_m: Annotated[Centre | None, CENTRE]
    material_cost: Annotated[Number, MATERIAL_COST]
    labour_cost: Annotated[Number, LABOUR_COST]
    process_cost: Annotated[Number, PROCESS_COST]
    cost: Annotated[Number, COST]
    conditions: tuple[ConditionFigures, ...]
    targets: tuple[Requirement, ...]


@dataclass(frozen=True, slots=True)
class ModelFigures:
    """Every figure of one model at one revision: zones and parts by name, and the craft."""

    model: str
    currency: str | None
    zones: tuple[ZoneFigures, ...]
    parts: tuple[PartFigures, ...]
    craft: CraftFigures


@dataclass(frozen=True, slots=True)
class CraftTotals:
    """The craft at one of many revisions, in the condition of its targets."""

    mass_kg: Annotated[float, MASS]
    laminate_mass_kg: Annotated[float, LAMINATE_MASS]
    lcg_m: Annotated[Number, LCG]
    tcg_m: Annotated[Number, TCG]
    vcg_m: Annotated[Number, VCG]
    cost: Annotated[Number, COST]


@dataclass(frozen=True, slots=True)
class EngineeringConstants:
    """What a coupon of a laminate shows, pulled along and across and sheared."""

    ex_gpa: Annotated[float, EX]
    ey_gpa: Annotated[float, EY]
    gxy_gpa: Annotated[float, GXY]
    nu_xy: Annotated[float, NU_XY]


@dataclass(frozen=True, slots=True)
class DirectionFigures:
    """One direction of a fabric; `angle_deg` is from the zone's x axis, None for a mat."""

    angle_deg: Annotated[Number, ANGLE]
    thickness_mm: Annotated[float, Quantity("thickness", decimals=2)]
    fibre_volume_fraction: Annotated[float, Quantity("fibre by volume")]
    e1_gpa: Annotated[float, Quantity("E1", decimals=1)]
    e2_gpa: Annotated[float, Quantity("E2", decimals=1)]
    g12_gpa: Annotated[float, Quantity("G12", decimals=1)]
    nu12: Annotated[float, Quantity("ν12")]


@dataclass(frozen=True, slots=True)
class WithoutLayer:
    """What the zone shows without one of its lines."""

    mass_kg: Annotated[float, MASS]
    cost: Annotated[Number, COST]
    ei_x_kn_m2_per_m: Annotated[Number, EI_ALONG]
    ei_y_kn_m2_per_m: Annotated[Number, EI_ACROSS]
    deflection_mm: Annotated[Number, DEFLECTION]
    ei_stiffener_kn_m2: Annotated[Number, EI_STIFFENER]
    beam_deflection_mm: Annotated[Number, BEAM_DEFLECTION]


@dataclass(frozen=True, slots=True)
class LayerFigures:
    """One line of a layup with all its plies.

    `thickness_mm` and the mean `fibre_volume_fraction` are those of the line itself, voids counted in;
    `fabric` is all its directions together, held flat, x along the roll. The distances are from the neutral
    axes for bending along x and y to the middle of the line, positive towards the bag side, and None for a
    line of partial coverage, which stays out of the stack.
    """

    line: Annotated[int, Quantity("line", decimals=0)]
    material: str
    kind: str
    plies: Annotated[int, PLIES]
    angle_deg: Annotated[float, ANGLE]
    flipped: bool
    on: PartOfSection
    coverage_fraction: Annotated[float, Quantity("coverage")]
    thickness_mm: Annotated[float, Quantity("thickness", decimals=2)]
    fibre_volume_fraction: Annotated[Number, Quantity("fibre by volume")]
    void_fraction: Annotated[Number, VOIDS]
    fabric: EngineeringConstants | None
    directions: tuple[DirectionFigures, ...]
    distance_x_mm: Annotated[Number, Quantity("distance from the neutral axis, bending along", decimals=1)]
    distance_y_mm: Annotated[Number, Quantity("distance from the neutral axis, bending across", decimals=1)]
    mass_kg: Annotated[float, MASS]
    cost: Annotated[Number, COST]
    without: WithoutLayer


@dataclass(frozen=True, slots=True)
class ZoneLayers:
    """A zone as it is and each of its lines, mould side first."""

    figures: ZoneFigures
    layers: tuple[LayerFigures, ...]


LayerLook = Literal["coating", "mat", "fabric", "core"]


@dataclass(frozen=True, slots=True)
class SectionLayer:
    """One line of a layup in a section; a layer that does not cover the zone is not `full`.

    `on` is the part of a stiffener's section that it lies on.
    """

    line: Annotated[int, Quantity("line", decimals=0)]
    material: str
    look: LayerLook
    thickness_mm: Annotated[float, Quantity("thickness", decimals=1)]
    full: bool
    on: PartOfSection = "all"


ZONE_KEYS = single_numbers(ZoneFigures)
PART_KEYS = single_numbers(PartFigures)
CRAFT_KEYS = single_numbers(CraftFigures)
CENTRE_KEYS = tuple(CENTRE.coordinates)
FIGURES: Mapping[str, Quantity] = {
    **quantities_of(ConditionFigures),
    **quantities_of(CraftFigures),
    **quantities_of(PartFigures),
    **quantities_of(ZoneFigures),
}
"""The quantity of every figure of a zone, a part and the craft by its key."""
USE_KEYS = tuple(key for key in ZONE_KEYS if key.endswith("_use"))
"""Figures of a zone that are shares of a limit: above 1 it is exceeded."""
BY_LOAD: Mapping[str, Mapping[str, str]] = {
    **{key: {"pressure": key, "patch": f"patch_{key}"} for key in USE_KEYS if f"patch_{key}" in USE_KEYS},
    "core_crush_use": {"patch": "core_crush_use"},
}
"""The figures that one limit of a panel holds, per load."""
COST_KEYS = frozenset(key for key, quantity in FIGURES.items() if quantity.unit == "¤")
CAUSE_KEYS = tuple(key for key in ZONE_KEYS if FIGURES[key].causes)
"""Figures of a zone whose changes are told by their causes."""
SUMMED_KEYS = tuple(key for key in CAUSE_KEYS if key in PART_KEYS)
"""Those of them that add up over zones."""


def as_read(keys: Iterable[str]) -> tuple[str, ...]:
    """Keys of figures in the order in which people read them."""
    return tuple(sorted(keys, key=lambda key: FIGURES[key].rank))
