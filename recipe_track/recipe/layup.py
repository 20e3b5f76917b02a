"""A zone: its place, its layers from mould side to bag side, its panel, its required minima."""

from typing import Annotated, Literal

from pydantic import Field

from recipe_track.recipe.fields import (
    Count,
    FibreFraction,
    Finite,
    Id,
    NotNegative,
    Plies,
    Point,
    Positive,
    PositiveFraction,
    Process,
    RecipeTable,
    ZoneName,
)


class Layer(RecipeTable):
    """One line of a layup."""

    material: Id
    thickness_mm: Positive | None = None
    angle_deg: Finite = 0.0
    plies: Plies = 1
    flipped: bool = False
    coverage_fraction: PositiveFraction = 1.0
    fibre_mass_fraction: FibreFraction | None = None
    process: Process | None = None
    resin: Id | None = None
    uptake_g_m2: NotNegative | None = None
    stage: Count = 1
    tag: str | None = None
    extent: str | None = None


class Former(RecipeTable):
    """What a stiffener is laminated over: a rectangle, square where no height is stated."""

    material: Id
    section_mm2: Positive
    height_mm: Positive | None = None


class Patch(RecipeTable):
    """A foot or a fender on a square in the middle of the panel."""

    force_kn: Positive
    side_mm: Positive


class Panel(RecipeTable):
    """The unsupported field that people feel."""

    span_mm: Positive
    length_mm: Positive
    span_axis: Literal["x", "y"] = "y"
    edges: Literal["clamped", "simply-supported"]
    pressure_kpa: Positive
    patch: Patch | None = None


class Required(RecipeTable):
    """Minima and limits out of the scantling calculation of record."""

    checked_at: str | None = None
    fibre_kg_m2_min: Positive | None = None
    outer_fibre_kg_m2_min: Positive | None = None
    inner_fibre_kg_m2_min: Positive | None = None
    structural_thickness_mm_min: Positive | None = None
    core_thickness_mm_min: Positive | None = None
    ei_x_kn_m2_per_m_min: Positive | None = None
    ei_y_kn_m2_per_m_min: Positive | None = None
    deflection_mm_max: Positive | None = None
    core_shear_use_max: Positive | None = None
    strain_use_max: Positive | None = None
    wrinkling_use_max: Positive | None = None


class Zone(RecipeTable):
    """A plate, a stiffener or a joint."""

    form: Literal["plate", "stiffener", "joint"] = "plate"
    area_m2: Positive | None = None
    length_m: Positive | None = None
    girth_mm: Positive | None = None
    former: Former | None = None
    attached: ZoneName | None = None
    effective_width_mm: Positive | None = None
    attached_axis: Literal["x", "y"] | None = None
    paste: Id | None = None
    kg_per_m: Positive | None = None
    centroid_m: Point
    overlap_fraction: NotNegative = 0.0
    extent: str | None = None
    zero_direction: str | None = None
    seen_from: str | None = None
    drawing: str | None = None
    formerly: Annotated[tuple[ZoneName, ...], Field(strict=False)] = ()
    layup: Annotated[tuple[Layer, ...], Field(strict=False)] = ()
    panel: Panel | None = None
    required: Required | None = None
