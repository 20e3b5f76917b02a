"""A zone: its place, its layers from mould side to bag side, its panel, its required minima."""

from typing import Annotated, Literal

from pydantic import Field

from recipe_track.recipe.fields import (
    MOST_LAYERS,
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
from recipe_track.recipe.quantities import (
    ANGLE,
    AREA,
    FIBRE_FRACTION,
    FORCE,
    LENGTH,
    PLIES,
    SIDE,
    THICKNESS,
    Label,
    Ordinary,
    Quantity,
)


class Layer(RecipeTable):
    """One line of a layup."""

    material: Annotated[Id, Label("material")]
    thickness_mm: Annotated[Positive | None, THICKNESS] = None
    angle_deg: Annotated[Finite, ANGLE] = 0.0
    plies: Annotated[Plies, PLIES, Ordinary(1, 30)] = 1
    flipped: Annotated[bool, Label("flipped", "stiffness")] = False
    coverage_fraction: Annotated[PositiveFraction, Quantity("coverage")] = 1.0
    fibre_mass_fraction: Annotated[FibreFraction | None, FIBRE_FRACTION] = None
    process: Annotated[Process | None, Label("process")] = None
    resin: Annotated[Id | None, Label("resin")] = None
    uptake_g_m2: Annotated[NotNegative | None, Quantity("resin uptake"), Ordinary(40, 3000, also=(0,))] = None
    stage: Annotated[Count, Quantity("stage", decimals=0)] = 1
    tag: Annotated[str | None, Label("tag", "nothing")] = None
    extent: Annotated[str | None, Label("extent", "shop")] = None


class Former(RecipeTable):
    """What a stiffener is laminated over: a rectangle, square where no height is stated."""

    material: Annotated[Id, Label("material")]
    section_mm2: Annotated[Positive, Quantity("section"), Ordinary(100, 100_000)]
    height_mm: Annotated[Positive | None, Quantity("height", "stiffness")] = None


class Patch(RecipeTable):
    """A foot or a fender on a square in the middle of the panel."""

    force_kn: Annotated[Positive, FORCE, Ordinary(0.3, 60)]
    side_mm: Annotated[Positive, SIDE, Ordinary(20, 600)]


class Panel(RecipeTable):
    """The unsupported field that people feel."""

    span_mm: Annotated[Positive, Quantity("span", "stiffness"), Ordinary(100, 2500)]
    length_mm: Annotated[Positive, Quantity("length", "stiffness")]
    span_axis: Annotated[Literal["x", "y"], Label("span axis", "stiffness")] = "y"
    edges: Annotated[Literal["clamped", "simply-supported"], Label("edges", "stiffness")]
    pressure_kpa: Annotated[Positive, Quantity("pressure", "stiffness"), Ordinary(1, 250)]
    patch: Annotated[Patch | None, Label("patch", "stiffness")] = None


class Required(RecipeTable):
    """Minima and limits out of the scantling calculation of record."""

    checked_at: Annotated[str | None, Label("checked at", "nothing")] = None
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

    form: Annotated[Literal["plate", "stiffener", "joint"], Label("form")] = "plate"
    area_m2: Annotated[Positive | None, AREA] = None
    length_m: Annotated[Positive | None, LENGTH] = None
    girth_mm: Annotated[Positive | None, Quantity("girth"), Ordinary(40, 2000)] = None
    former: Annotated[Former | None, Label("former")] = None
    attached: Annotated[ZoneName | None, Label("attached", "stiffness")] = None
    effective_width_mm: Annotated[
        Positive | None, Quantity("effective width", "stiffness"), Ordinary(20, 2500)
    ] = None
    attached_axis: Annotated[Literal["x", "y"] | None, Label("attached axis", "stiffness")] = None
    paste: Annotated[Id | None, Label("paste")] = None
    kg_per_m: Annotated[Positive | None, Quantity("paste per metre"), Ordinary(0.02, 5)] = None
    centroid_m: Annotated[Point, Quantity("centre")]
    overlap_fraction: Annotated[NotNegative, Quantity("overlap fraction"), Ordinary(0, 0.30)] = 0.0
    extent: Annotated[str | None, Label("extent", "shop")] = None
    zero_direction: Annotated[str | None, Label("zero direction", "shop")] = None
    seen_from: Annotated[str | None, Label("side it is seen from", "shop")] = None
    drawing: Annotated[str | None, Label("drawing", "shop")] = None
    formerly: Annotated[tuple[ZoneName, ...], Field(strict=False), Label("earlier names", "nothing")] = ()
    layup: Annotated[tuple[Layer, ...], Field(strict=False, max_length=MOST_LAYERS), Label("layup")] = ()
    panel: Annotated[Panel | None, Label("panel", "stiffness")] = None
    required: Annotated[Required | None, Label("required minima or their source", "nothing")] = None
