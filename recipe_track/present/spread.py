"""Spreads in words: one standard deviation beside a figure or a change."""

from collections.abc import Iterator, Mapping

from recipe_track.present.plain import visible
from recipe_track.present.units import measure, number, unit_of
from recipe_track.procedures.spreads import Spread

STATED = (
    "± is one standard deviation out of the tolerances that the materials state: "
    "first order, inputs independent"
)


def spread_lines(spread: Spread | None, currency: str | None) -> Iterator[str]:
    """A line for the changes that are smaller than their spread."""
    for key in spread.drowned if spread else ():
        assert spread is not None
        deviation = f"±{number(key, spread.deviations[key])} {unit_of(key, currency)}"
        yield f"{measure(key).words}: the change is smaller than its spread, {deviation} (standard deviation)"


def deviations_text(deviations: Mapping[str, Mapping[str, float]], currency: str | None) -> Iterator[str]:
    """A line per zone, part and craft: `deck/side: mass ±0.4 kg, EI along ±0.12 kN·m²/m`."""
    for name, found in deviations.items():
        shown = [f"{measure(k).words} ±{number(k, v)} {unit_of(k, currency)}" for k, v in found.items()]
        yield f"{visible(name)}: {', '.join(shown) or 'no tolerance stated'}"
    yield STATED
