"""Ids, unit-bearing numbers and fractions that the models share."""

from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, WithJsonSchema

from recipe_track.recipe.quantities import Label

ID_PATTERN = r"^[a-z0-9][a-z0-9-]{0,63}$"
HULL_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$"
RECORD_ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # Crockford base32
PERSON_PATTERN = r"^[^<>\x00-\x1f]*[^<>\x00-\x1f\s] <[^<>\s]+@[^<>\s]+>$"

Id = Annotated[str, StringConstraints(pattern=ID_PATTERN)]
HullNumber = Annotated[str, StringConstraints(pattern=HULL_PATTERN)]
ZoneName = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,63}/[a-z0-9][a-z0-9-]{0,63}$")]
NameAndMail = Annotated[str, StringConstraints(pattern=PERSON_PATTERN)]
CommitId = Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{40}|[0-9a-f]{64})$")]
BlobId = Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{40}|[0-9a-f]{64})?$")]
Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
ReleaseLabel = Annotated[str, StringConstraints(pattern=r"^r[1-9][0-9]*$")]
NonEmptyText = Annotated[str, StringConstraints(min_length=1)]

SMALLEST, GREATEST = 1e-9, 1e12  # far beyond any boat; what is computed from these still is a number
Finite = Annotated[float, Field(ge=-GREATEST, le=GREATEST, allow_inf_nan=False)]
Positive = Annotated[float, Field(ge=SMALLEST, le=GREATEST, allow_inf_nan=False)]
NotNegative = Annotated[float, Field(ge=0, le=GREATEST, allow_inf_nan=False)]
Fraction = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
PositiveFraction = Annotated[float, Field(ge=SMALLEST, le=1, allow_inf_nan=False)]
FibreFraction = Annotated[float, Field(ge=SMALLEST, lt=1, allow_inf_nan=False)]
VoidFraction = Annotated[float, Field(ge=0, lt=0.15, allow_inf_nan=False)]
PoissonIsotropic = Annotated[float, Field(ge=0, lt=0.5, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=1)]
# Each ply of a zone is computed, and aligned with those of another revision: more than these no boat has, and
# a slip of the keyboard or a pasted table is told instead of being computed.
MOST_LAYERS, MOST_PLIES, MOST_ZONES = 1000, 1000, 10_000
MOST_BYTES, MOST_RECORD_BYTES = 1_000_000, 16_000_000  # a change record keeps the files that it edits
Plies = Annotated[int, Field(ge=1, le=MOST_PLIES)]
Point = Annotated[tuple[Finite, Finite, Finite], Field(strict=False)]
Range = Annotated[tuple[Finite, Finite], Field(strict=False)]
Day = date

Process = Literal["infusion", "vacuum-bag", "hand-layup", "spray-up"]


class Table(BaseModel):
    """A table of a file: strict, frozen, no unknown keys; name, source and note welcome anywhere."""

    model_config = ConfigDict(strict=True, frozen=True, extra="forbid", defer_build=True)

    name: Annotated[str | None, Label("name", "nothing")] = None
    source: Annotated[str | None, Label("source", "nothing")] = None
    note: Annotated[str | None, Label("note", "nothing")] = None


class Meant(BaseModel):
    """A value that is meant though it is not ordinary, and why; any other value is asked about again."""

    model_config = Table.model_config

    value: Annotated[Any, WithJsonSchema({"type": ["number", "string", "array"]})]
    why: NonEmptyText


class RecipeTable(Table):
    """A table of a recipe, which may say of its own keys that an unusual value is meant."""

    plausible: Annotated[dict[str, Meant], Label("values that are meant", "nothing")] = Field(
        default_factory=dict
    )

    def __hash__(self) -> int:
        """Of all that is written but what is said of it: mappings have no hash."""
        return hash(tuple(value for key, value in self.__dict__.items() if key != "plausible"))
