"""Spread of figures: by hand, by drawing samples, and between two revisions."""

from math import hypot, sqrt
from typing import Any

import numpy as np
import pytest

import recipe_track.figures.uncertainty as spread_module
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.uncertainty import (
    Tolerance,
    difference,
    is_insignificant,
    model_effects,
    shifted,
    standard_deviations,
    zone_effects,
)
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.craft import Model, Prices, Settings
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from tests.recipes import case, changed, materials, part, zone

UNI, BIAX, CORE = (
    {"material": "uni-600"},
    {"material": "biax-800"},
    {"material": "pvc-80", "thickness_mm": 20.0},
)
USING = materials()
USING = changed(USING, "uni-600", areal_mass_tolerance_fraction=0.04, fibre_mass_fraction_tolerance=0.02)
USING = changed(USING, "biax-800", areal_mass_tolerance_fraction=0.03)
USING = changed(USING, "pvc-80", thickness_tolerance_mm=0.4)
SANDWICH = [UNI, BIAX, CORE, BIAX, UNI]
PANEL = {"span_mm": 450, "length_mm": 900, "edges": "clamped", "pressure_kpa": 18.0}
PRICES = Prices.model_validate(
    {
        "currency": "EUR",
        "labour_per_hour": 40.0,
        "materials": {
            "uni-600": {"per_kg": 4.0},
            "biax-800": {"per_m2": 3.0},
            "pvc-80": {"per_m3": 900.0},
            "vinylester": {"per_kg": 5.0},
        },
    }
)


def deviations(layup: list[dict[str, Any]], **keys: Any) -> dict[str, float | None]:
    return standard_deviations(zone_effects([case(layup, using=USING, **keys)])[0])


def test_the_areal_mass_of_two_equal_layers_moves_both() -> None:
    """By hand: m/ψ per ply; two layers of one roll spread by 2 · 4 %, not by √2 · 4 %."""
    using = changed(USING, "uni-600", fibre_mass_fraction_tolerance=0.0)
    found = standard_deviations(zone_effects([case([UNI, UNI], using=using, area_m2=3.0)])[0])
    assert found["mass_kg"] == pytest.approx(0.04 * 3 * 2 * 0.6 / 0.68)


def test_the_fibre_fraction_moves_the_resin() -> None:
    """By hand: d(m/ψ)/dψ = −m/ψ²."""
    using = changed(USING, "uni-600", areal_mass_tolerance_fraction=0.0)
    found = standard_deviations(zone_effects([case([UNI], using=using)])[0])
    assert found["mass_kg"] == pytest.approx(0.02 * 0.6 / 0.68**2, rel=1e-4)


def test_a_layer_s_own_fibre_fraction_is_as_uncertain() -> None:
    using = changed(USING, "uni-600", areal_mass_tolerance_fraction=0.0)
    found = standard_deviations(zone_effects([case([UNI | {"fibre_mass_fraction": 0.5}], using=using)])[0])
    assert found["mass_kg"] == pytest.approx(0.02 * 0.6 / 0.5**2, rel=1e-4)


def test_core_thickness_moves_core_uptake_and_cost() -> None:
    """By hand: 0.4 mm of 80 kg/m³ and of 12 g/m² per mm resin; 900 per m³ and 5 per kg."""
    using = changed(USING, "uni-600", areal_mass_tolerance_fraction=0.0, fibre_mass_fraction_tolerance=0.0)
    found = standard_deviations(zone_effects([case([UNI, CORE, UNI], using=using, prices=PRICES)])[0])
    assert found["mass_kg"] == pytest.approx(0.4e-3 * 80 + 0.4 * 0.012)
    assert found["cost"] == pytest.approx(0.4e-3 * 900 + 0.4 * 0.012 * 5)


def test_independent_inputs_add_by_squares() -> None:
    found = deviations([UNI, BIAX, CORE])
    uni_mass, uni_fraction = 0.04 * 0.6 / 0.68, 0.02 * 0.6 / 0.68**2
    by_hand = hypot(uni_mass, uni_fraction, 0.03 * 0.8 / 0.68, 0.4e-3 * 80 + 0.4 * 0.012)
    assert found["mass_kg"] == pytest.approx(by_hand, rel=1e-4)


@pytest.fixture(scope="module")
def drawn() -> tuple[ZoneFigures, ...]:
    """A panel with every input drawn at random, independent and normal, 800 times."""
    base = case(SANDWICH, using=USING, panel=PANEL, prices=PRICES)
    inputs = list(spread_module.tolerances_of(base))
    cases = []
    for row in np.random.default_rng(4).normal(size=(800, len(inputs))):
        one = base
        for tolerance, deviation in zip(inputs, row.tolist(), strict=True):
            one = shifted(one, tolerance, deviation)
        cases.append(one)
    return zone_figures(cases)


@pytest.mark.parametrize("key", ["mass_kg", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m", "deflection_mm", "cost"])
def test_first_order_agrees_with_drawing_samples(drawn: tuple[ZoneFigures, ...], key: str) -> None:
    """Monte Carlo with numpy; the standard error of 800 draws is 2.5 %, the bound four of them."""
    base = case(SANDWICH, using=USING, panel=PANEL, prices=PRICES)
    sampled = np.std([getattr(zone, key) for zone in drawn], ddof=1)
    assert standard_deviations(zone_effects([base])[0])[key] == pytest.approx(sampled, rel=0.10)


def test_without_tolerances_nothing_is_known_of_the_spread() -> None:
    assert set(standard_deviations(zone_effects([case(SANDWICH)])[0]).values()) == {None}


def test_an_absent_figure_has_no_spread() -> None:
    found = deviations([UNI])
    assert (found["deflection_mm"], found["cost"], found["ei_stiffener_kn_m2"]) == (None, None, None)
    assert found["ei_x_kn_m2_per_m"] is not None


def test_a_stiffener_spreads_with_the_plate_it_stands_on() -> None:
    plate = case([UNI] * 5, using=USING)
    former = {"material": "pvc-80", "section_mm2": 2500}
    keys = {"form": "stiffener", "length_m": 1, "girth_mm": 200, "former": former, "attached": "hull/bottom"}
    girder = case([BIAX], using=USING, name="hull/girder", effective_width_mm=100, **keys)
    alone = zone_effects([girder])[0]
    standing = zone_effects([spread_module.replace(girder, attached=plate)])[0]
    uni = Tolerance("uni-600", "areal_mass_tolerance_fraction")
    assert uni not in alone
    assert standing[uni]["ei_stiffener_kn_m2"] > 0
    assert standing[uni]["mass_kg"] == 0


def test_an_unchanged_layer_does_not_spread_a_delta() -> None:
    """The tolerances of both sides are the same rolls: adding one layer spreads by that layer alone."""
    before, after = zone_effects([case([BIAX, BIAX], using=USING), case([BIAX, BIAX, UNI], using=USING)])
    delta = standard_deviations(difference(before, after))
    own = hypot(0.04 * 0.6 / 0.68, 0.02 * 0.6 / 0.68**2)
    assert delta["mass_kg"] == pytest.approx(own, rel=1e-4)
    assert set(standard_deviations(difference(before, before)).values()) == {0.0, None}


def test_an_added_zone_spreads_by_itself() -> None:
    alone = zone_effects([case([UNI], using=USING)])[0]
    assert (
        standard_deviations(difference({}, alone))
        == standard_deviations(alone)
        == standard_deviations(difference(alone, {}))
    )


def test_a_delta_is_held_against_its_spread() -> None:
    assert is_insignificant(-0.5, 0.6)
    assert not is_insignificant(0.7, 0.6)
    assert not is_insignificant(0.0, 0.6)
    assert not is_insignificant(0.1, None)
    assert not is_insignificant(None, 0.6)


def test_zones_of_one_roll_move_the_part_together() -> None:
    using = changed(USING, "uni-600", fibre_mass_fraction_tolerance=0.0)
    trees = {
        "deck": PartTree("deck", part(), {"side": zone([UNI]), "fore": zone([UNI], area_m2=2.0)}),
        "hull": PartTree("hull", part(), {"bottom": zone([BIAX])}),
    }
    tree = ModelTree("m", Model(origin="here"), trees)
    effects = model_effects(Snapshot(Settings(format=1), using, PRICES, {"m": tree}), "m")
    deck, hull = 0.04 * 3 * 0.6 / 0.68, 0.03 * 0.8 / 0.68
    assert standard_deviations(effects.parts["deck"])["mass_kg"] == pytest.approx(deck)
    assert standard_deviations(effects.craft)["mass_kg"] == pytest.approx(sqrt(deck**2 + hull**2))
    assert standard_deviations(effects.craft)["ei_x_kn_m2_per_m"] is None
    assert list(effects.zones) == ["deck/fore", "deck/side", "hull/bottom"]


def test_all_variations_are_computed_in_one_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []

    def counted(cases: Any, **keys: Any) -> Any:
        calls.append(len(cases))
        return zone_figures(cases, **keys)

    monkeypatch.setattr(spread_module, "zone_figures", counted)
    zone_effects([case(SANDWICH, using=USING), case([BIAX], using=USING)])
    assert calls == [2 * (4 + 1)]
