"""What a key is called, in which unit and with how many digits, which way is better, what it counts in.

All of it is said once, on the field that holds it, as `span_mm: Annotated[Positive, Quantity("span")]`: lists
of keys anywhere else are made from these. How a number is written for people is the business of `present`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Literal, get_type_hints

Counts = Literal["figures", "stiffness", "uncertainty", "purchasing", "shop", "nothing"]
"""What a written key counts in: `figures` are quantities and weights, and with them most of the rest;
`stiffness` is stiffness and strength alone, `uncertainty` how far figures scatter, `purchasing` what is
ordered, `shop` where and how a zone is laid."""

# An ending of a key and its unit; ¤ is the currency of the price list. The longest ending counts.
UNITS = {
    "_g_m2_mm": "g/m² per mm",
    "_kn_m2_per_m": "kN·m²/m",
    "_kn_m2": "kN·m²",
    "_mn_per_m": "MN/m",
    "_kn_per_m": "kN/m",
    "_n_per_mm": "N/mm",
    "_n_mm": "N·mm",
    "_n": "N",
    "kg_m_per_cm": "kg·m/cm",
    "_min_per_m2": "min/m²",
    "_min_per_m": "min/m",
    "kg_per_cm": "kg/cm",
    "kg_per_m": "kg/m",
    "per_kg": "¤/kg",
    "per_m2": "¤/m²",
    "per_m3": "¤/m³",
    "per_hour": "¤/h",
    "_g_m2": "g/m²",
    "_kg_m3": "kg/m³",
    "_kg_m2": "kg/m²",
    "_mm2": "mm²",
    "_m2": "m²",
    "_m3": "m³",
    "_mm": "mm",
    "_deg": "°",
    "_cm3": "cm³",
    "_kg_m": "kg/m",
    "_hz": "Hz",
    "_gpa": "GPa",
    "_mpa": "MPa",
    "_kpa": "kPa",
    "_kg": "kg",
    "_kn": "kN",
    "hz": "Hz",
    "rpm": "rpm",
    "_hours": "h",
    "_m": "m",
}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number: its words, the decimals that help a reader, its unit, which way is better.

    The unit is the one that the key's name ends in, where none is stated. `rank` orders figures as people
    read them; the causes of a figure's changes and its standard deviation are told where it says so.
    """

    words: str
    counts: Counts = "figures"
    decimals: int = 3
    better: Literal["smaller", "greater"] | None = None
    unit: str | None = None
    rank: int = 5
    shown: Literal["always", "changed", "asked"] = "asked"
    causes: bool = False
    deviation: bool = False

    @property
    def noise(self) -> float:
        """Half of the second digit beyond those shown: a change below it is the noise of computing it."""
        return 0.5 * 10.0**-self.written_decimals

    @property
    def written_decimals(self) -> int:
        """With how many decimals a record keeps it: two more than are shown."""
        return self.decimals + 2


@dataclass(frozen=True, slots=True)
class Label:
    """A key that holds no number: its words, and what it counts in."""

    words: str
    counts: Counts = "figures"


@dataclass(frozen=True, slots=True)
class Ordinary:
    """The range in which a written value ordinarily lies, both ends included; said beside its quantity.

    `slip` is what a value outside it is likely to be, where its unit does not tell; values of `also` are
    ordinary too, `of` is said after the range.
    """

    low: float
    high: float
    slip: str = ""
    also: tuple[float, ...] = ()
    of: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """A field that holds a point, and the quantities of its three coordinates by key."""

    coordinates: Mapping[str, Quantity]


def unit_of_key(key: str) -> str:
    """The unit that a key's name ends in; nothing for a ratio."""
    return next((UNITS[ending] for ending in _LONGEST_FIRST if key.endswith(ending)), "")


_LONGEST_FIRST = sorted(UNITS, key=len, reverse=True)


@cache
def quantities_of(record: type) -> Mapping[str, Quantity]:
    """The quantities of a table or of a record by key: its own first, then the points taken apart."""
    marks = marks_of(record)
    own = {key: mark for key, mark in marks.items() if isinstance(mark, Quantity)}
    apart = {
        key: quantity
        for mark in marks.values()
        if isinstance(mark, Place)
        for key, quantity in mark.coordinates.items()
    }
    return {
        key: q if q.unit is not None else replace(q, unit=unit_of_key(key))
        for key, q in {**own, **apart}.items()
    }


@cache
def marks_of(record: type) -> Mapping[str, Quantity | Label | Place | None]:
    """What is said on each field of a table or of a record."""
    hints = get_type_hints(record, include_extras=True)
    return {key: _mark(hint) for key, hint in hints.items() if not key.startswith(("_", "model_"))}


def _mark(hint: Any) -> Quantity | Label | Place | None:
    said = getattr(hint, "__metadata__", ())
    return next((mark for mark in said if isinstance(mark, Quantity | Label | Place)), None)


def single_numbers(record: type) -> tuple[str, ...]:
    """The keys of a record that hold one number, in the order of its fields; points are taken apart last."""
    hints = get_type_hints(record)
    single = (float, float | None)
    return tuple(key for key in quantities_of(record) if key not in hints or hints[key] in single)


@cache
def counting(record: type, *counts: Counts) -> tuple[str, ...]:
    """The keys of a table that count in any of these; one of which nothing is said counts in figures."""
    return tuple(
        key for key, mark in marks_of(record).items() if getattr(mark, "counts", "figures") in counts
    )


def words_of(record: type, key: str) -> str:
    """The words of a key of a table."""
    mark = marks_of(record)[key]
    return key.replace("_", " ") if mark is None or isinstance(mark, Place) else mark.words


def limited(key: str) -> tuple[str, Literal["min", "max", "range"]]:
    """The figure that a required minimum or a target limits, and to which side."""
    if key.endswith("_min"):
        return key.removesuffix("_min"), "min"
    return (key.removesuffix("_max"), "max") if key.endswith("_max") else (key, "range")


# Quantities that several tables and records hold under one key.
AREA = Quantity("area", decimals=2)
LENGTH = Quantity("length")
THICKNESS = Quantity("thickness", decimals=1, rank=2, shown="changed")
ANGLE = Quantity("angle", "stiffness")
PLIES = Quantity("plies", decimals=0)
FIBRE_FRACTION = Quantity("fibre mass fraction")
VOIDS = Quantity("voids", "stiffness")
FORCE = Quantity("force", "stiffness")
SIDE = Quantity("side", "stiffness")
FILL = Quantity("fill", decimals=2)
MASS = Quantity("mass", decimals=1, better="smaller", rank=1, shown="always", causes=True, deviation=True)
COST = Quantity(
    "cost", decimals=0, better="smaller", unit="¤", rank=9, shown="always", causes=True, deviation=True
)
LCG = Quantity("LCG", shown="always")
TCG = Quantity("TCG", shown="always")
VCG = Quantity("VCG", better="smaller", shown="always")
CENTRE = Place({"lcg_m": LCG, "tcg_m": TCG, "vcg_m": VCG})
EI_ALONG = Quantity(
    "EI along", decimals=2, better="greater", rank=3, shown="always", causes=True, deviation=True
)
EI_ACROSS = Quantity(
    "EI across", decimals=2, better="greater", rank=3, shown="always", causes=True, deviation=True
)
DEFLECTION = Quantity(
    "deflection", decimals=2, better="smaller", rank=4, shown="always", causes=True, deviation=True
)
EI_STIFFENER = Quantity(
    "EI of the stiffener", decimals=2, better="greater", rank=3, shown="changed", causes=True, deviation=True
)
BEAM_DEFLECTION = Quantity(
    "beam deflection", decimals=2, better="smaller", rank=4, shown="changed", causes=True, deviation=True
)
