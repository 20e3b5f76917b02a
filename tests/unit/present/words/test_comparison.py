"""What a comparison comes to in a few words."""

import dataclasses
from types import SimpleNamespace
from typing import Any

from recipe_track.impact.effects import Delta, ZoneImpact
from recipe_track.present.words.comparison import by_effect, changed_words


def zone_with(name: str, **deltas: float) -> ZoneImpact:
    """A changed zone whose figures rose from 10 by so much."""
    figures = {key: Delta(10.0, 10.0 + by, by, 10 * by) for key, by in deltas.items()}
    return ZoneImpact(name, name, "changed", False, (), figures, None, None)


def words_of(*zones: ZoneImpact) -> str:
    """What is said of a comparison that changes these zones."""
    comparison: Any = SimpleNamespace(impact=SimpleNamespace(zones=zones), currency="EUR")
    return changed_words(comparison)


def test_the_first_figure_that_changed_stands_for_a_zone() -> None:
    """A price list leaves the mass alone, a turned layer the mass and the cost."""
    stiffer = zone_with("a", mass_kg=0.0, ei_y_kn_m2_per_m=0.5, cost=0.0)
    one = "1 of 1 zones changed: a"
    assert words_of(zone_with("a", mass_kg=4.2, cost=40.0)) == f"{one} (+4.2 kg)"
    assert words_of(stiffer) == f"{one} (EI across +0.50 kN·m²/m)"
    assert words_of(zone_with("a", mass_kg=0.0, cost=40.0)) == f"{one} (+40 EUR)"
    assert words_of(zone_with("a", mass_kg=0.0)) == one


def test_a_zone_that_comes_or_goes_says_so() -> None:
    new, gone = (dataclasses.replace(zone_with("a"), status=status) for status in ("added", "removed"))
    assert words_of(new) == "1 of 1 zones changed: a (new)"
    assert words_of(gone) == "1 of 1 zones changed: a (taken out)"


def test_prices_alone_order_zones_by_their_cost() -> None:
    cheap, dear = zone_with("cheap", mass_kg=0.0, cost=1.0), zone_with("dear", mass_kg=0.0, cost=90.0)
    assert by_effect([cheap, dear]) == [dear, cheap]
