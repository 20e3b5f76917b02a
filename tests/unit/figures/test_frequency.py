"""Natural frequencies of panels against closed forms, and what shakes a craft against them."""

import math
from dataclasses import replace
from typing import Any

import pytest

from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.craft import Excitation
from tests.recipes import case, figures

MAT = [{"material": "csm-300", "plies": 6}]
PANEL = {"span_mm": 500, "length_mm": 800, "edges": "simply-supported", "pressure_kpa": 0.2}


def panel_of(**more: Any) -> ZoneFigures:
    return figures(MAT, panel={**PANEL, **more})


def test_a_thin_supported_panel_rings_at_the_closed_form() -> None:
    """ω² = (π⁴/m)(D11/a⁴ + 2(D12 + 2 D66)/(a²b²) + D22/b⁴), thin plate theory."""
    zone = panel_of()
    assert zone.laminate is not None
    d = [[value * 1e-3 for value in row] for row in zone.laminate.d_n_mm]
    a, b = 0.8, 0.5
    stiff = d[0][0] / a**4 + 2 * (d[0][1] + 2 * d[2][2]) / (a * b) ** 2 + d[1][1] / b**4
    hz = math.sqrt(math.pi**4 * stiff / (zone.areal_mass_kg_m2 or 0)) / (2 * math.pi)
    assert zone.frequency_hz == pytest.approx(hz, rel=3e-3)
    assert (zone.frequency_hz or 0) < hz


def test_what_a_panel_carries_slows_it_down() -> None:
    bare = panel_of()
    assert bare.areal_mass_kg_m2 is not None
    laden = panel_of(carried_kg_m2=3 * bare.areal_mass_kg_m2)
    assert laden.frequency_hz == pytest.approx((bare.frequency_hz or 0) / 2)
    assert (laden.mass_kg, laden.deflection_mm) == (bare.mass_kg, bare.deflection_mm)


def test_a_coating_weighs_in_the_frequency() -> None:
    coated = figures([{"material": "gelcoat", "thickness_mm": 0.6}, *MAT], panel=PANEL)
    assert (coated.frequency_hz or 0) < 0.95 * (panel_of().frequency_hz or 0)


@pytest.mark.parametrize(("water", "sides"), [("mould", 1), ("bag", 1), ("both", 2)])
def test_water_adds_mass_on_each_side_that_is_wet(water: str, sides: int) -> None:
    """ρw/(π √(1/a² + 1/b²)) of sea water per wet side."""
    dry, wet = panel_of(), panel_of(water=water)
    assert dry.areal_mass_kg_m2 is not None
    added = sides * 1025 / (math.pi * math.hypot(1 / 0.5, 1 / 0.8))
    slower = math.sqrt(dry.areal_mass_kg_m2 / (dry.areal_mass_kg_m2 + added))
    assert wet.frequency_hz == dry.frequency_hz
    assert wet.frequency_wet_hz == pytest.approx((dry.frequency_hz or 0) * slower)
    assert dry.frequency_wet_hz is None


def test_a_frequency_in_air_says_what_water_would_do() -> None:
    note = "frequency in air; water against a panel can bring it down to a quarter"
    assert note in panel_of().notes
    assert note not in panel_of(water="mould").notes
    assert note not in figures(MAT).notes


def test_a_frequency_can_be_a_required_minimum() -> None:
    hz = panel_of().frequency_hz or 0
    low, high = (
        figures(MAT, panel=PANEL, required={"frequency_hz_min": limit}).required[0]
        for limit in (hz, hz * 1.01)
    )
    assert (low.key, low.value, low.met) == ("frequency_hz_min", hz, True)
    assert high.met is False


def shaken(panel: Any = None, **keys: Any) -> ZoneFigures:
    one = case(MAT, panel={**PANEL, **(panel or {})})
    return zone_figures([replace(one, excitation=Excitation.model_validate(keys))])[0]


def test_orders_meet_a_panel_at_a_speed() -> None:
    """Blades that pass four times a turn shake at 4 rpm/60; firing on a shaft twice as fast at 6 rpm/60."""
    orders = ({"name": "blades", "per_rev": 4}, {"name": "firing", "per_rev": 3, "ratio": 2.0})
    zone = shaken(range_rpm=(100, 800), steady_rpm=(450,), orders=orders)
    hz = zone.frequency_hz or 0
    blades, firing = zone.excitation
    assert (blades.name, firing.name) == ("blades", "firing")
    assert blades.meets_rpm == pytest.approx(hz * 60 / 4)
    assert firing.meets_rpm == pytest.approx(hz * 60 / 6)
    (steady,) = firing.steady
    assert (steady.rpm, steady.hz) == (450, pytest.approx(45.0))
    assert steady.ratio == pytest.approx(45.0 / hz)


def test_the_running_range_is_told_only_where_it_is_stated() -> None:
    order = ({"name": "blades", "per_rev": 4},)
    meets = shaken(orders=order).excitation[0].meets_rpm or 0
    ranges = (None, (0.9 * meets, 1.1 * meets), (1.1 * meets, 2 * meets))
    found = [shaken(orders=order, range_rpm=between).excitation[0].in_range for between in ranges]
    assert found == [None, True, False]


@pytest.mark.parametrize(("part", "within"), [(1.149, True), (1.151, False), (0.851, True), (0.849, False)])
def test_the_band_is_the_yards_or_15_percent(part: float, within: bool) -> None:
    hz = panel_of().frequency_hz or 0
    (fixed,) = shaken(hz=(hz * part,)).excitation
    assert (fixed.name, fixed.meets_rpm, fixed.in_range) == (None, None, None)
    assert [one.within_band for one in fixed.steady] == [within]
    assert not shaken(hz=(hz * part,), band_fraction=0.05).excitation[0].steady[0].within_band


def test_water_against_a_panel_is_shaken_too() -> None:
    zone = shaken({"water": "mould"}, hz=(20.0,))
    assert [m.wet for m in zone.excitation] == [False, True]
    assert [m.frequency_hz for m in zone.excitation] == [zone.frequency_hz, zone.frequency_wet_hz]
