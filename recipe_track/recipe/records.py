"""Records: written once, never edited; every state follows from them."""

from typing import Annotated, Literal

from pydantic import Field

from recipe_track.recipe.fields import (
    RECORD_ALPHABET,
    BlobId,
    CommitId,
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
    ReleaseLabel,
    Sha256,
    Table,
    ZoneName,
)
from recipe_track.recipe.quantities import (
    BEAM_DEFLECTION,
    COST,
    DEFLECTION,
    EI_ACROSS,
    EI_ALONG,
    EI_STIFFENER,
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
    "step": "H",
    "action": "A",
}


def _id_field(letters: str) -> str:
    return rf"^[{letters}]-[{RECORD_ALPHABET}]{{6}}$"


RecordId = Annotated[str, Field(pattern=_id_field("".join(LETTERS.values())))]
TrialId = Annotated[str, Field(pattern=_id_field("T"))]
ChangeId = Annotated[str, Field(pattern=_id_field("C"))]
StepId = Annotated[str, Field(pattern=_id_field("H"))]
AnsweredId = Annotated[str, Field(pattern=_id_field("NV"))]

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
Category = Literal["layup", "process", "product", "correction", "price", "geometry", "document", "settings"]
HullActionKind = Literal["as-is", "rework", "retrofit", "recall"]
DecisionWord = Literal[
    "approved",
    "rejected",
    "contained",
    "rework",
    "left-as-is",
    "same-as",
    "not-found-again",
    "accepted",
    "refused",
    "as-written",
]
DECISIONS_ABOUT: dict[str, tuple[str, ...]] = {
    "C": ("approved", "rejected"),
    "T": ("contained", "rework", "left-as-is", "same-as", "not-found-again"),
    "N": ("accepted", "refused"),
}
SAME_AS = "same-as"  # said of an observation that was made before
DECIDED_AGAIN = "CDV"  # letters of what is decided, or proposed, anew and never corrected
CONFIRMED = "as-written"  # said of any record by the person it names
PartState = Literal["planned", "kit-cut", "in-mould", "demoulded", "fitted", "scrapped"]
HullStatus = Literal["planned", "in-build", "delivered", "returned", "out-of-service"]
StepState = Literal[PartState, HullStatus]


class Recorded(Table):
    """What every record carries."""

    by: NameAndMail
    on: Day
    replaces: RecordId | None = None


class Attachment(Table):
    """A file that belongs to a record, and the SHA-256 it had when the record was written."""

    path: NonEmptyText
    sha256: Sha256


class Measured(Table):
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
    attachments: Annotated[tuple[Attachment, ...], Field(strict=False)] = ()


class ExpectedZone(Table):
    """What a change was expected to do to one zone, as deltas."""

    mass_kg: Annotated[Finite | None, MASS] = None
    ei_x_kn_m2_per_m: Annotated[Finite | None, EI_ALONG] = None
    ei_y_kn_m2_per_m: Annotated[Finite | None, EI_ACROSS] = None
    deflection_mm: Annotated[Finite | None, DEFLECTION] = None
    ei_stiffener_kn_m2: Annotated[Finite | None, EI_STIFFENER] = None
    beam_deflection_mm: Annotated[Finite | None, BEAM_DEFLECTION] = None
    cost: Annotated[Finite | None, COST] = None


class Expected(Table):
    """What a change was expected to do, as deltas, when it was proposed."""

    mass_kg: Annotated[Finite | None, MASS] = None
    cost: Annotated[Finite | None, COST] = None
    lcg_m: Annotated[Finite | None, LCG] = None
    vcg_m: Annotated[Finite | None, VCG] = None
    zones: dict[ZoneName, ExpectedZone] = Field(default_factory=dict)


class Edit(Table):
    """What one commit of a proposal did to one governed file: its blob before and after, empty for none.

    `lines` is the whole file before and after, for a rebase that leaves neither blob to be found.
    """

    path: NonEmptyText
    before: BlobId = ""
    after: BlobId = ""
    lines: str | None = None


class Weighed(Table):
    """An alternative that was weighed and not taken."""

    zone: ZoneName
    layup: Annotated[tuple[str, ...], Field(strict=False)]
    why_not: str | None = None
    figures: dict[str, Finite] = Field(default_factory=dict)


class Change(Recorded):
    """What is proposed and why."""

    kind: Literal["change"]
    model: Id | None = None
    title: NonEmptyText
    reason: NonEmptyText
    trials: Annotated[tuple[TrialId, ...], Field(strict=False)] = ()
    answers: Annotated[tuple[AnsweredId, ...], Field(strict=False)] = ()
    category: Category
    expected: Expected | None = None
    considered: str | None = None
    weighed: Annotated[tuple[Weighed, ...], Field(strict=False)] = ()
    edit: Annotated[tuple[Edit, ...], Field(strict=False)] = ()


class Reverification(Table):
    """Who checked that broken or re-based minima are in order."""

    document: NonEmptyText
    body: NonEmptyText
    by: NameAndMail
    on: Day


class HullAction(Table):
    """What happens on a hull already built."""

    hull: HullNumber
    part: Id
    action: HullActionKind


class Decision(Recorded):
    """A decision about a change, a trial observation or a deviation; or that a record is as one wrote it.

    `decides` is the blob of the change record or of the record confirmed: the content, not its place.
    """

    kind: Literal["decision"]
    about: RecordId
    decision: DecisionWord
    decides: BlobId | None = None
    same_as: TrialId | None = None
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


class DeviatingLayer(Table):
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


class Step(Recorded):
    """A part of a hull, or the whole hull, reaches a state; `after` is the step before it."""

    kind: Literal["step"]
    hull: HullNumber
    part: Id | None = None
    state: StepState
    revision: ReleaseLabel | None = None
    commit: CommitId | None = None
    after: StepId | None = None
    done: Annotated[tuple[ChangeId, ...], Field(strict=False)] = ()
    from_hull: Annotated[HullNumber | None, Field(alias="from")] = None


class Action(Recorded):
    """What was done about a nonconformity, an observation, a hull action or a finding of the audit."""

    kind: Literal["action"]
    about: NonEmptyText
    cause: NonEmptyText
    done: NonEmptyText
    seen: Annotated[tuple[str, ...], Field(strict=False)] = ()
    evidence: str | None = None
    document: str | None = None
    body: str | None = None
    attachments: Annotated[tuple[Attachment, ...], Field(strict=False)] = ()


Record = Annotated[
    Trial | Change | Decision | Verification | Weighing | Deviation | Step | Action,
    Field(discriminator="kind"),
]
