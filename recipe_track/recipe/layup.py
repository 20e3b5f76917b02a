"""A zone: its place, its layers from mould side to bag side, its panel, its required minima."""

from math import hypot, sqrt
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

PartOfSection = Literal["crown", "webs", "flanges", "all"]
SECTION_PARTS: tuple[PartOfSection, ...] = ("crown", "webs", "flanges")


class Layer(RecipeTable):
    """One line of a layup; of a stiffener it may lie on a part of the section alone."""

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
    on: Annotated[PartOfSection, Label("part of the section")] = "all"
    tag: Annotated[str | None, Label("tag", "nothing")] = None
    extent: Annotated[str | None, Label("extent", "shop")] = None


class Section(RecipeTable):
    """A hat by the faces of its former: the height stands on the bag face of the plating."""

    crown_mm: Annotated[Positive, Quantity("crown"), Ordinary(10, 1000)]
    height_mm: Annotated[Positive, Quantity("height"), Ordinary(10, 1000)]
    base_mm: Annotated[Positive, Quantity("base"), Ordinary(10, 1500)]
    flange_mm: Annotated[NotNegative, Quantity("flange"), Ordinary(0, 300)] = 0.0

    @property
    def web_mm(self) -> float:
        """Length of a web from foot to crown, along its lean."""
        return hypot(self.height_mm, (self.base_mm - self.crown_mm) / 2)

    @property
    def girth_mm(self) -> float:
        """Developed girth: crown, both webs, both flanges."""
        return self.crown_mm + 2 * self.web_mm + 2 * self.flange_mm

    @property
    def filled_mm2(self) -> float:
        """What a former fills."""
        return self.height_mm * (self.crown_mm + self.base_mm) / 2

    def width_mm(self, on: PartOfSection) -> float:
        """Developed width of what lies on a part of the section."""
        widths = {"crown": self.crown_mm, "webs": 2 * self.web_mm, "flanges": 2 * self.flange_mm}
        return self.girth_mm if on == "all" else widths[on]


class Former(RecipeTable):
    """What a stiffener is laminated over: it fills the section, else is a rectangle of its own.

    A rectangle is square where no height is stated.
    """

    material: Annotated[Id, Label("material")]
    section_mm2: Annotated[Positive | None, Quantity("section"), Ordinary(100, 100_000)] = None
    height_mm: Annotated[Positive | None, Quantity("height", "stiffness")] = None
    carries: Annotated[bool, Label("whether the former carries", "stiffness")] = True


class Beam(RecipeTable):
    """A stiffener between two supports, under the pressure on the plating that it carries."""

    span_mm: Annotated[Positive, Quantity("span", "stiffness"), Ordinary(200, 6000)]
    load_width_mm: Annotated[Positive, Quantity("load width", "stiffness")]
    pressure_kpa: Annotated[Positive, Quantity("pressure", "stiffness"), Ordinary(1, 250)]
    ends: Annotated[Literal["clamped", "simply-supported"], Label("ends", "stiffness")]
    carried_kg_m: Annotated[NotNegative, Quantity("carried mass", "stiffness"), Ordinary(0, 100)] = 0.0


LoadedSide = Literal["mould", "bag", "both"]
"""The side that a load acts on; of both, what is worse counts."""


class Patch(RecipeTable):
    """A foot or a fender on a square in the middle of the panel."""

    force_kn: Annotated[Positive, FORCE, Ordinary(0.3, 60)]
    side_mm: Annotated[Positive, SIDE, Ordinary(20, 600)]
    on: Annotated[LoadedSide, Label("side it stands on", "stiffness")] = "both"


class Panel(RecipeTable):
    """The unsupported field that people feel."""

    span_mm: Annotated[Positive, Quantity("span", "stiffness"), Ordinary(100, 2500)]
    length_mm: Annotated[Positive, Quantity("length", "stiffness")]
    span_axis: Annotated[Literal["x", "y"], Label("span axis", "stiffness")] = "y"
    edges: Annotated[Literal["clamped", "simply-supported"], Label("edges", "stiffness")]
    pressure_kpa: Annotated[Positive, Quantity("pressure", "stiffness"), Ordinary(1, 250)]
    pressure_side: Annotated[LoadedSide, Label("side of the pressure", "stiffness")] = "both"
    patch: Annotated[Patch | None, Label("patch", "stiffness")] = None
    carried_kg_m2: Annotated[NotNegative, Quantity("carried mass", "stiffness"), Ordinary(0, 100)] = 0.0
    water: Annotated[LoadedSide | None, Label("wet side", "stiffness")] = None


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
    core_crush_use_max: Positive | None = None
    frequency_hz_min: Positive | None = None
    ei_stiffener_kn_m2_min: Positive | None = None
    section_modulus_crown_cm3_min: Positive | None = None
    section_modulus_base_cm3_min: Positive | None = None
    beam_deflection_mm_max: Positive | None = None
    beam_strain_use_max: Positive | None = None
    web_shear_use_max: Positive | None = None


class Zone(RecipeTable):
    """A plate, a stiffener or a joint."""

    form: Annotated[Literal["plate", "stiffener", "joint"], Label("form")] = "plate"
    area_m2: Annotated[Positive | None, AREA] = None
    length_m: Annotated[Positive | None, LENGTH] = None
    girth_mm: Annotated[Positive | None, Quantity("girth"), Ordinary(40, 2000)] = None
    section: Annotated[Section | None, Label("section")] = None
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
    beam: Annotated[Beam | None, Label("beam", "stiffness")] = None
    required: Annotated[Required | None, Label("required minima or their source", "nothing")] = None


ROUNDING_MM = 0.5  # a girth stated to the millimetre may fall short of a computed width by so much


def section_stated(zone: Zone) -> Section | None:
    """The section of a stiffener: its own, else its former and what the girth leaves for flanges.

    None where neither is stated, or where the girth does not reach around the former.
    """
    if zone.section is not None or zone.form != "stiffener":
        return zone.section
    former = zone.former
    if former is None or former.section_mm2 is None or zone.girth_mm is None:
        return None
    height = former.height_mm or sqrt(former.section_mm2)
    width = former.section_mm2 / height
    flange = (zone.girth_mm - 2 * height - width) / 2
    if flange <= -ROUNDING_MM:
        return None
    return Section.model_construct(
        crown_mm=width, height_mm=height, base_mm=width, flange_mm=max(flange, 0.0)
    )


def girth_mm(zone: Zone) -> float | None:
    """Developed girth of a stiffener: around its section, else as stated."""
    return zone.section.girth_mm if zone.section is not None else zone.girth_mm


def width_on(zone: Zone, on: PartOfSection) -> float | None:
    """Developed width of what lies on a part of a stiffener; None where no section tells it."""
    section = section_stated(zone)
    if on == "all":
        return girth_mm(zone)
    return section.width_mm(on) if section is not None else None
