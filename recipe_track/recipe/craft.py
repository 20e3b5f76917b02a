"""The craft, its parts, the hulls built, the prices and the settings of the repository."""

from typing import Annotated, Any

from pydantic import Field

from recipe_track.recipe.fields import (
    Count,
    Finite,
    Fraction,
    HullNumber,
    Id,
    NonEmptyText,
    NotNegative,
    Point,
    Positive,
    Process,
    Range,
    RecipeTable,
    ReleaseLabel,
    Table,
)
from recipe_track.recipe.quantities import FILL, MASS, Label, Ordinary, Quantity

KNOWN_FORMAT = 1
MAIN_BRANCH = "main"


class FixedMass(RecipeTable):
    """Something aboard that is not laminate; a variable one counts by the condition's fill."""

    item: Annotated[NonEmptyText, Label("item", "nothing")]
    mass_kg: Annotated[Positive, MASS]
    at_m: Annotated[Point, Quantity("centre")]
    variable: Annotated[bool, Label("variable")] = False


class Condition(RecipeTable):
    """A loading condition beside the built-in `light` (fill 0) and `full` (fill 1)."""

    name: NonEmptyText
    fill: Annotated[Fraction, FILL]


class Targets(RecipeTable):
    """What the craft should weigh, balance and cost in one condition."""

    condition: NonEmptyText = "light"
    mass_kg_max: Positive | None = None
    laminate_mass_kg_max: Positive | None = None
    lcg_m: Range | None = None
    tcg_m: Range | None = None
    vcg_m_max: Finite | None = None
    cost_max: Positive | None = None


class Hydrostatics(RecipeTable):
    """What the hull form answers to a small change of mass, at the targets' condition."""

    kg_per_cm: Annotated[Positive, Quantity("mass that sinks it a centimetre")]
    mct_kg_m_per_cm: Annotated[Positive, Quantity("moment that trims it a centimetre")]
    lcf_m: Annotated[Finite, Quantity("LCF")]
    gm_m: Annotated[Positive, Quantity("GM"), Ordinary(0.2, 3)]


SPEEDS = Ordinary(300, 8000)  # of a shaft or an engine


class Order(RecipeTable):
    """Something that shakes so many times per revolution of its own shaft; `ratio` is that shaft's
    revolutions per revolution of the one whose speed is stated."""

    name: NonEmptyText
    per_rev: Annotated[Positive, Quantity("shakes per revolution", "stiffness"), Ordinary(0.5, 20)]
    ratio: Annotated[
        Positive, Quantity("revolutions per shaft revolution", "stiffness"), Ordinary(0.1, 10)
    ] = 1.0


class Excitation(RecipeTable):
    """What shakes the craft: orders of a shaft with its speeds, and fixed frequencies.

    `band_fraction` is how near to a steady speed the yard wants no panel; 0.15 is common practice, no source.
    """

    steady_rpm: Annotated[
        tuple[Positive, ...], Field(strict=False), Quantity("steady speeds", "stiffness"), SPEEDS
    ] = ()
    range_rpm: Annotated[
        tuple[Positive, Positive] | None, Field(strict=False), Quantity("range", "stiffness"), SPEEDS
    ] = None
    orders: Annotated[tuple[Order, ...], Field(strict=False), Label("orders", "stiffness")] = ()
    hz: Annotated[
        tuple[Positive, ...], Field(strict=False), Quantity("frequencies", "stiffness"), Ordinary(1, 500)
    ] = ()
    band_fraction: Annotated[Fraction, Quantity("band", "stiffness"), Ordinary(0.02, 0.5)] = 0.15


class Model(RecipeTable):
    """A craft: axes, other masses, conditions, targets."""

    origin: NonEmptyText
    length_m: Annotated[Positive | None, Quantity("length", "nothing"), Ordinary(3, 30)] = None
    beam_m: Annotated[Positive | None, Quantity("beam", "nothing")] = None
    mass: Annotated[tuple[FixedMass, ...], Field(strict=False)] = ()
    condition: Annotated[tuple[Condition, ...], Field(strict=False)] = ()
    targets: Targets | None = None
    hydrostatics: Hydrostatics | None = None
    excitation: Excitation | None = None


WASTAGE = Ordinary(0, 0.35)


class Wastage(RecipeTable):
    """Bought but not built in, per kind."""

    reinforcement: Annotated[Fraction, Quantity("wastage of reinforcement"), WASTAGE] = 0.0
    core: Annotated[Fraction, Quantity("wastage of core"), WASTAGE] = 0.0
    resin: Annotated[Fraction, Quantity("wastage of resin"), WASTAGE] = 0.0
    coating: Annotated[Fraction, Quantity("wastage of coating"), WASTAGE] = 0.0
    paste: Annotated[Fraction, Quantity("wastage of paste"), WASTAGE] = 0.0


class Part(RecipeTable):
    """A moulding: how it is made and with which resin."""

    process: Annotated[Process, Label("process")]
    resin: Annotated[Id, Label("resin")]
    wastage_fraction: Annotated[Wastage, Label("wastage")] = Wastage.model_construct()
    line_resin_kg: Annotated[NotNegative, Quantity("line resin"), Ordinary(0, 100)] = 0.0
    consumables_per_m2: Annotated[NotNegative, Quantity("consumables")] = 0.0
    setup_hours: Annotated[NotNegative, Quantity("setting up"), Ordinary(0, 300)] = 0.0


class Hull(Table):
    """What of a hull never changes; what it goes through is steps. `was` is its number before."""

    model: Id
    first_release: ReleaseLabel
    customer_reference: str | None = None
    was: HullNumber | None = None


class Price(RecipeTable):
    """The price of a material by exactly one measure, and the labour to place it."""

    per_kg: Annotated[NotNegative | None, Quantity("price")] = None
    per_m2: Annotated[NotNegative | None, Quantity("price")] = None
    per_m3: Annotated[NotNegative | None, Quantity("price")] = None
    labour_min_per_m2: Annotated[NotNegative, Quantity("labour")] = 0.0
    labour_min_per_m: Annotated[NotNegative, Quantity("labour")] = 0.0


class Prices(RecipeTable):
    """The price list."""

    currency: Annotated[NonEmptyText, Label("currency")]
    labour_per_hour: Annotated[NotNegative, Quantity("labour rate")]
    materials: Annotated[dict[Id, Price], Label("prices")] = Field(default_factory=dict)


class Approval(Table):
    """Who may decide, and how a decision is proven."""

    distinct_approver: bool = True
    approvers: Annotated[tuple[NonEmptyText, ...], Field(strict=False)] = ()
    signed: bool = False
    keys: Annotated[tuple[NonEmptyText, ...], Field(strict=False)] = ()
    reason_min_length: Annotated[int, Field(ge=0), Quantity("shortest reason", "nothing", 0)] = 12


class Settings(Table):
    """Settings of a recipe repository."""

    format: Annotated[Count, Quantity("format", "nothing", 0)]
    yard: str | None = None
    main_branch: NonEmptyText = MAIN_BRANCH
    approval: Approval = Approval.model_construct()
    options: dict[str, Any] = Field(default_factory=dict)
    shop: dict[str, Any] = Field(default_factory=dict)
    alternatives: dict[str, Any] = Field(default_factory=dict)
    csv: dict[str, Any] = Field(default_factory=dict)
    lessons: dict[str, Any] = Field(default_factory=dict)
