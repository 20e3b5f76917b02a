"""Records: written once, never edited; every state follows from them."""

from typing import Annotated, Literal

from pydantic import Field

from recipe_track.recipe.fields import (
    RECORD_ALPHABET,
    Count,
    Day,
    Finite,
    HullNumber,
    Id,
    NameAndMail,
    NonEmptyText,
    NotNegative,
    Plies,
    Positive,
    PositiveFraction,
    RecipeTable,
    ZoneName,
)
from recipe_track.recipe.quantities import (
    COST,
    DEFLECTION,
    EI_ACROSS,
    EI_ALONG,
    FORCE,
    LCG,
    MASS,
    PLIES,
    SIDE,
    VCG,
    Quantity,
)

LETTERS = {
    "trial": "T",
    "change": "C",
    "decision": "D",
    "verification": "V",
    "weighing": "W",
    "deviation": "N",
}


def _id_field(letters: str) -> str:
    return rf"^[{letters}]-[{RECORD_ALPHABET}]{{6}}$"


RecordId = Annotated[str, Field(pattern=_id_field("TCDVWN"))]
TrialId = Annotated[str, Field(pattern=_id_field("T"))]
ChangeId = Annotated[str, Field(pattern=_id_field("C"))]
DecidableId = Annotated[str, Field(pattern=_id_field("TCN"))]

Observation = Literal[
    "too-flexible",
    "stiffer-than-needed",
    "too-heavy",
    "crack",
    "delamination",
    "dry-spot",
    "blister",
    "water-ingress",
    "print-through",
    "impact",
    "noise",
    "other",
]
Category = Literal["layup", "process", "product", "correction", "price", "geometry", "document"]
HullActionKind = Literal["as-is", "rework", "retrofit", "recall"]
DecisionWord = Literal[
    "approved",
    "rejected",
    "contained",
    "rework",
    "no-action",
    "duplicate",
    "not-reproduced",
    "accepted",
    "refused",
]
DECISIONS_ABOUT: dict[str, tuple[str, ...]] = {
    "C": ("approved", "rejected"),
    "T": ("contained", "rework", "no-action", "duplicate", "not-reproduced"),
    "N": ("accepted", "refused"),
}


class Recorded(RecipeTable):
    """What every record carries."""

    by: NameAndMail
    on: Day
    replaces: RecordId | None = None


class Measured(RecipeTable):
    """A deflection under a known foot load."""

    deflection_mm: Annotated[Positive | None, DEFLECTION] = None
    force_kn: Annotated[Positive | None, FORCE] = None
    side_mm: Annotated[Positive | None, SIDE] = None


class Trial(Recorded):
    """An observation at a trial or in service."""

    kind: Literal["trial"]
    hull: HullNumber
    zone: ZoneName
    text: NonEmptyText
    observation: Observation
    severity: Annotated[int, Field(ge=1, le=5), Quantity("severity", decimals=0)]
    conditions: str | None = None
    measured: Measured | None = None
    attachments: Annotated[tuple[str, ...], Field(strict=False)] = ()


class ExpectedZone(RecipeTable):
    """What a change was expected to do to one zone, as deltas."""

    mass_kg: Annotated[Finite | None, MASS] = None
    ei_x_kn_m2_per_m: Annotated[Finite | None, EI_ALONG] = None
    ei_y_kn_m2_per_m: Annotated[Finite | None, EI_ACROSS] = None
    deflection_mm: Annotated[Finite | None, DEFLECTION] = None
    cost: Annotated[Finite | None, COST] = None


class Expected(RecipeTable):
    """What a change was expected to do, as deltas, when it was proposed."""

    mass_kg: Annotated[Finite | None, MASS] = None
    cost: Annotated[Finite | None, COST] = None
    lcg_m: Annotated[Finite | None, LCG] = None
    vcg_m: Annotated[Finite | None, VCG] = None
    zones: dict[ZoneName, ExpectedZone] = Field(default_factory=dict)


class Considered(RecipeTable):
    """What else was weighed before proposing."""

    text: str | None = None
    options: Annotated[tuple[str, ...], Field(strict=False)] = ()


class Change(Recorded):
    """What is proposed and why."""

    kind: Literal["change"]
    model: Id
    title: NonEmptyText
    reason: NonEmptyText
    trials: Annotated[tuple[TrialId, ...], Field(strict=False)] = ()
    category: Category
    expected: Expected | None = None
    considered: str | Considered | None = None


class Reverification(RecipeTable):
    """Who checked that broken or re-based minima are in order."""

    document: NonEmptyText
    body: NonEmptyText
    by: NameAndMail
    on: Day


class HullAction(RecipeTable):
    """What happens on a hull already built."""

    hull: HullNumber
    part: Id
    action: HullActionKind


class Decision(Recorded):
    """A decision about a change, a trial observation or a deviation."""

    kind: Literal["decision"]
    about: DecidableId
    decision: DecisionWord
    reverification: Reverification | None = None
    hull_action: Annotated[tuple[HullAction, ...], Field(strict=False)] = ()


class Verification(Recorded):
    """Did the change work?"""

    kind: Literal["verification"]
    about: ChangeId
    hull: HullNumber
    outcome: Literal["confirmed", "not-confirmed"]
    trial: TrialId | None = None
    measured: Measured | None = None


class Weighing(Recorded):
    """A part, or the craft, on the scales."""

    kind: Literal["weighing"]
    hull: HullNumber
    part: Id
    mass_kg: Annotated[Positive, MASS]
    state: Literal["as-demoulded", "trimmed", "assembled"]
    tare_kg: Annotated[NotNegative | None, Quantity("tare", decimals=1)] = None
    uncertainty_kg: Annotated[NotNegative | None, Quantity("uncertainty", decimals=1)] = None
    includes: str | None = None


class DeviatingLayer(RecipeTable):
    """A layer of the hull's release that was built otherwise."""

    line: Annotated[Count, Quantity("line", decimals=0)]
    material: Id
    plies: Annotated[Plies, PLIES] = 1
    action: Literal["left-out", "added", "substituted"]
    instead: Id | None = None


class Deviation(Recorded):
    """A departure found after (nonconformity) or asked before (deviation permit)."""

    kind: Literal["deviation"]
    type: Literal["nonconformity", "deviation-permit"]
    hull: HullNumber
    zone: ZoneName
    text: NonEmptyText
    layers: Annotated[tuple[DeviatingLayer, ...], Field(strict=False)] = ()
    area_fraction: Annotated[PositiveFraction, Quantity("share of the area")] = 1.0


Record = Annotated[
    Trial | Change | Decision | Verification | Weighing | Deviation,
    Field(discriminator="kind"),
]
