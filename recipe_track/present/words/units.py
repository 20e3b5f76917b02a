"""How numbers are written for people: words, unit, digits; the only place that formats them."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from recipe_track.figures.results import CENTRE_KEYS, FIGURES
from recipe_track.impact.effects import Balance
from recipe_track.present.words.plain import visible
from recipe_track.recipe.quantities import Quantity, limited, quantities_of, unit_of_key

ABSENT = "–"
TABLE: Mapping[str, Quantity] = {**quantities_of(Balance), **FIGURES}
_SIDES = {"min": "at least", "max": "at most", "range": "within"}
_DIGITS = 6
_MOST = 15
_MILLIMETRES = Quantity("", decimals=2)
_GROUP = "\u202f"


def _quantity(key: str) -> Quantity:
    return TABLE.get(key) or Quantity(key, unit=unit_of_key(key))


def words_for(key: str) -> str:
    """The words for a figure; an unknown key is written as it is."""
    return _quantity(key).words


def unit_of(key: str, currency: str | None = None) -> str:
    """The unit of a figure; money in the currency of the price list."""
    unit = _quantity(key).unit or ""
    return visible(currency or "") if unit == "¤" else unit


def labelled(key: str, currency: str | None = None) -> str:
    """`mass [kg]`, the head of a row."""
    unit = unit_of(key, currency)
    return f"{words_for(key)} [{unit}]" if unit else words_for(key)


def number(key: str, value: float | None) -> str:
    """A figure without its unit; a dash where there is none."""
    return _number(_quantity(key), value)


def quantity(key: str, value: float | None, currency: str | None = None) -> str:
    """A figure with its unit."""
    return with_unit(number(key, value), unit_of(key, currency))


def told_apart(key: str, values: Sequence[float], value: float) -> tuple[str, ...]:
    """Numbers under one key, in digits enough to see which of them another one is not. Units left out."""
    said = _quantity(key)
    differ = (n for n in range(said.decimals, _MOST) if all(round(v, n) != round(value, n) for v in values))
    said = replace(said, decimals=next(differ, _MOST))
    return tuple(_number(said, one) for one in (value, *values))


def number_in(record: object, key: str) -> str:
    """A number of a record without its unit, with the digits that the record says of it."""
    return _number(_said(record, key), getattr(record, key))


def figure_in(record: object, key: str) -> str:
    """A number of a record with its unit, with the digits that the record says of it."""
    return as_in(record, key, getattr(record, key))


def as_in(record: object, key: str, value: float | None) -> str:
    """A number with the unit and the digits that a record says of one of its own."""
    said = _said(record, key)
    return with_unit(_number(said, value), said.unit or "")


def stated(key: str, value: float) -> str:
    """A number with its unit, with the digits that people gave it."""
    return with_unit(as_given(value), unit_of_key(key))


def as_given(value: float | tuple[float, float]) -> str:
    """A number, or a range, with the digits that people gave it."""
    return " … ".join(map(as_given, value)) if isinstance(value, tuple) else f"{value:g}"


def signed_as_given(key: str, value: float) -> str:
    """`+45°`, a number with sign and unit and the digits that people gave it."""
    unit = unit_of_key(key)
    apart = "" if unit == "°" else " "
    return f"{value:+g}{apart}{unit}".replace("-", "−")


def signed_whole(change: float) -> str:
    """A change without decimals."""
    return f"{_sign(change)}{abs(change):,.0f}".replace(",", _GROUP)


def rough(value: float) -> str:
    """A number with two significant digits."""
    return f"{value:.2g}"


def whole_number(value: float) -> str:
    """A number without decimals."""
    return f"{value:.0f}"


def grouped(value: float) -> str:
    """A number in all its digits, thousands apart."""
    return f"{value:,.10g}".replace(",", _GROUP).replace("-", "−")


def in_percent(fraction: float) -> str:
    """A fraction that people gave, in percent."""
    return f"{as_given(100 * fraction)} %"


def angle_words(angle_deg: float) -> str:
    """`45°`, without decimals where there are none."""
    return f"{as_given(angle_deg)}°"


def digits(value: float) -> str:
    """Six significant digits, enough to redo a calculation by hand."""
    return f"{value:.{_DIGITS}g}".replace("-", "−")


def above_noise(key: str, change: float) -> bool:
    """Whether a change of a figure is more than the noise of computing it."""
    return abs(change) >= _quantity(key).noise


def signed(key: str, value: float | None) -> str:
    """A change with its sign, with more digits where it would round to nothing; `0` for computing noise."""
    return _signed(_quantity(key), value)


def signed_quantity(key: str, value: float | None, currency: str | None = None) -> str:
    """A change with sign and unit."""
    return with_unit(signed(key, value), unit_of(key, currency))


def change_in(record: object, key: str) -> str:
    """A number of a record that is a change, with sign and unit."""
    said = _said(record, key)
    return with_unit(_signed(said, getattr(record, key)), said.unit or "")


def millimetres(metres: float | None) -> str:
    """A small change of a place, in millimetres with its sign."""
    return with_unit(_signed(_MILLIMETRES, None if metres is None else 1e3 * metres), "mm")


def percent(value: float | None) -> str:
    """A relative change with its sign."""
    if value is None:
        return ABSENT
    if abs(value) < 0.05:
        return "0 %" if abs(value) < 1e-6 else f"{_sign(value)}{abs(value):.2g} %"
    return f"{_sign(value)}{abs(value):.{1 if abs(value) < 10 else 0}f} %"


def relative(key: str, value: float | None) -> str:
    """A relative change of a figure; a centre is a place and has none."""
    return "" if key in CENTRE_KEYS or value is None else percent(value)


def limit_words(key: str) -> tuple[str, str]:
    """A requirement's figure key and whether it is `at least`, `at most` or `within`."""
    figure, side = limited(key)
    return figure, _SIDES[side]


def _said(record: object, key: str) -> Quantity:
    kind: type = type(record)
    return quantities_of(kind)[key]


def _number(said: Quantity, value: float | None) -> str:
    if value is None:
        return ABSENT
    rounded = round(value, said.decimals) + 0.0  # no minus before a zero
    return f"{rounded:,.{said.decimals}f}".replace(",", _GROUP)


def _signed(said: Quantity, value: float | None) -> str:
    if value is None:
        return ABSENT
    if abs(value) < said.noise:
        return "0"
    text = f"{abs(value):,.{said.decimals}f}".replace(",", _GROUP)
    if not any(c in "123456789" for c in text):
        text = f"{abs(value):.{-math.floor(math.log10(abs(value)))}f}"
    return f"{_sign(value)}{text}"


def _sign(value: float) -> str:
    return "+" if value > 0 else "−"


def with_unit(text: str, unit: str) -> str:
    """A written number with its unit; a dash has none."""
    return text if text == ABSENT else f"{text} {unit}".rstrip()
