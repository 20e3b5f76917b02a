"""Ordinary ranges: the mark on a field that holds one, the slip that a value outside is likely to be.

All ranges are common practice, no source, unless they say so beside them. A value that is meant is said to be
so in its own table: `plausible = { thickness_mm = { value = 80, why = "…" } }`.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, get_type_hints

from recipe_track.errors import Fault, Key
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.quantities import Ordinary, unit_of_key

# How a number in another unit becomes one in the unit of its key: the likeliest slips first.
SLIPS: Mapping[str, tuple[tuple[str, float], ...]] = {
    "kg/m³": (("g/cm³", 1e3), ("lb/ft³", 16.0185)),
    "g/m²": (("kg/m²", 1e3), ("oz/yd²", 33.9057)),
    "g/m² per mm": (("kg/m² per mm", 1e3), ("g/m² per cm", 0.1)),
    "GPa": (("MPa", 1e-3), ("Pa", 1e-9)),
    "MPa": (("kPa", 1e-3), ("GPa", 1e3), ("psi", 6.895e-3)),
    "kPa": (("Pa", 1e-3), ("bar", 100), ("MPa", 1e3)),
    "mm": (("m", 1e3), ("cm", 10), ("µm", 1e-3), ("inches", 25.4)),
    "mm²": (("cm²", 100), ("m²", 1e6)),
    "m": (("mm", 1e-3), ("feet", 0.3048), ("cm", 0.01)),
    "m²": (("mm²", 1e-6), ("cm²", 1e-4), ("square feet", 0.092903)),
    "kN": (("N", 1e-3), ("kg", 9.80665e-3)),
    "kg": (("t", 1e3), ("lb", 0.453592), ("g", 1e-3)),
    "kg/m": (("g/m", 1e-3),),
    "kg/cm": (("t/cm", 1e3),),
    "kg·m/cm": (("t·m/cm", 1e3),),
    "rpm": (("Hz", 60),),
    "min/m²": (("hours", 60), ("seconds", 1 / 60)),
    "min/m": (("hours", 60), ("seconds", 1 / 60)),
    "¤": (("cents", 0.01),),
    "": (("percent", 0.01), ("per mille", 1e-3), ("µm/m", 1e-6)),
}
MOST_DIGITS = 10
LEAST_SHARE = 0.02  # of a range about zero; anything converted to less fits, and says nothing
OF_FIGURES = {"structural_thickness_mm", "areal_mass_kg_m2"}  # of a zone, told by what is computed of it


def outside(value: float, ordinary: Ordinary) -> bool:
    """Whether a value lies outside what is ordinary; an end belongs to the range."""
    slack = 1e-9 * max(abs(ordinary.low), abs(ordinary.high))
    inside = ordinary.low - slack <= value <= ordinary.high + slack
    return not inside and value not in ordinary.also


def slip(value: float, ordinary: Ordinary, unit: str) -> str:
    """What was likely typed instead, as a hint: the slip of this key, another unit, a digit too many."""
    known = SLIPS.get("¤" if unit.startswith("¤") else unit, ())
    least = LEAST_SHARE * max(abs(ordinary.low), abs(ordinary.high)) if ordinary.low <= 0 else 0.0
    meant = [(name, value * factor) for name, factor in known]
    said = [
        f"{name}? {written(one)}{_unit(unit)} would be ordinary"
        for name, one in meant
        if abs(one) >= least and not outside(one, ordinary)
    ]
    hints = [*said[:1], *([f"{ordinary.slip}?"] if ordinary.slip else [])]
    if not hints:
        tens = [value * factor for factor in (0.1, 10, 0.01, 100) if not outside(value * factor, ordinary)]
        hints = [f"a slip of ten? {written(one)}{_unit(unit)} would be ordinary" for one in tens]
    return "; ".join(hints[:2])


def written(value: float) -> str:
    """A number as people type it, without digits that only a conversion brought."""
    return f"{float(f'{value:.6g}'):.{MOST_DIGITS}g}"


def range_words(ordinary: Ordinary, unit: str) -> str:
    """`ordinarily 1300 to 2800 kg/m³`."""
    return f"ordinarily {about(ordinary.low)} to {about(ordinary.high)}{_unit(unit)}"


def about(value: float, figures: int = 4) -> str:
    """A number with so many significant figures, never as a power of ten."""
    return f"{float(f'{value:.{figures}g}'):.{MOST_DIGITS}g}"


def _unit(unit: str) -> str:
    return f" {unit}" if unit and unit != "°" else unit


@dataclass(frozen=True, slots=True)
class Spot:
    """A key of a table: its file, the table, where that lies, what is meant within the value."""

    file: str
    table: RecipeTable
    at: Key
    name: str
    within: Key = ()

    @property
    def key(self) -> Key:
        """The key path in the file."""
        return (*self.at, self.name, *self.within)


def is_meant(spot: Spot, *values: object) -> bool:
    """Whether the table says that one of these values of the key is meant."""
    said = spot.table.plausible.get(spot.name)
    return said is not None and _plain(said.value) in [_plain(value) for value in values]


def _plain(value: object) -> object:
    return tuple(value) if isinstance(value, list) else value


def doubt(spot: Spot, code: str, message: str, hint: str = "", *values: object) -> Iterator[Fault]:
    """A note on a key of a table, unless what it holds, or one of `values`, is said to be meant."""
    if not is_meant(spot, getattr(spot.table, spot.name), *values):
        yield Fault(spot.file, spot.key, code, message, hint)


def out_of(
    spot: Spot, value: float, ordinary: Ordinary, what: str = "", unit: str | None = None
) -> Iterator[Fault]:
    """The note on a value outside an ordinary range; `what` are its words before the number."""
    if outside(value, ordinary):
        unit = unit_of_key(spot.name) if unit is None else unit
        given = f"{what or f'`{spot.name}`'} {written(value)}{_unit(unit)}"
        message = f"{given}: {range_words(ordinary, unit)}{ordinary.of}"
        yield from doubt(spot, "not-ordinary", message, slip(value, ordinary, unit), value)


@cache
def ordinary_of(record: type) -> Mapping[str, Ordinary]:
    """The ordinary ranges of a table by key, as they stand on its fields."""
    hints = get_type_hints(record, include_extras=True)
    found = {key: _range(hint) for key, hint in hints.items() if not key.startswith(("_", "model_"))}
    return {key: ordinary for key, ordinary in found.items() if ordinary is not None}


def _range(hint: Any) -> Ordinary | None:
    return next((mark for mark in getattr(hint, "__metadata__", ()) if isinstance(mark, Ordinary)), None)


def tables_in(table: RecipeTable, at: Key = ()) -> Iterator[tuple[RecipeTable, Key]]:
    """A table and all that is written in it, each with its key path."""
    yield table, at
    for key in table.model_fields_set:
        yield from _inner(getattr(table, key), (*at, key))


def _inner(value: object, at: Key) -> Iterator[tuple[RecipeTable, Key]]:
    if isinstance(value, RecipeTable):
        yield from tables_in(value, at)
    elif isinstance(value, tuple):
        for number, one in enumerate(value):
            yield from _inner(one, (*at, number))
    elif isinstance(value, Mapping):
        for name, one in value.items():
            yield from _inner(one, (*at, str(name)))


def note_ranges(table: RecipeTable, path: str) -> Iterator[Fault]:
    """Every written number that lies outside the range on its field, tables within included."""
    for inner, at in tables_in(table):
        ranges = ordinary_of(type(inner))
        for key in inner.model_fields_set & ranges.keys():
            value = getattr(inner, key)
            for within, one, what in _numbers(key, value):
                yield from out_of(Spot(path, inner, at, key, within), one, ranges[key], what)


def _numbers(key: str, value: Any) -> Iterator[tuple[Key, float, str]]:
    """The numbers of a value, each with where it lies in it and how it is called."""
    if isinstance(value, Mapping):
        yield from (((str(name),), one, f"`{key}` for {name}:") for name, one in value.items())
    elif isinstance(value, tuple):
        yield from (((n,), one, "") for n, one in enumerate(value))
    elif value is not None:
        yield (), value, ""


def note_meant(table: RecipeTable, path: str) -> Iterator[Fault]:
    """What is said to be plausible of a key that the table does not have."""
    for inner, at in tables_in(table):
        for key in sorted(inner.plausible.keys() - type(inner).model_fields.keys() - OF_FIGURES):
            message = f"`plausible` speaks of `{key}`, which is no key of this table"
            yield Fault(path, (*at, "plausible", key), "plausible-of-nothing", message, at="key")
