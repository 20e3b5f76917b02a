"""How the craft floats after a change, against sums done by hand."""

import math

import pytest

from recipe_track.impact.effects import CraftImpact
from tests.unit.impact.yard import compared, snapshot

HYDROSTATICS = {"kg_per_cm": 200.0, "mct_kg_m_per_cm": 100.0, "lcf_m": 4.0, "gm_m": 0.5}
ENGINE = {"item": "engine", "mass_kg": 1000.0, "at_m": [2.0, 0.0, 0.5]}
FUEL = {"item": "fuel", "mass_kg": 500.0, "at_m": [4.0, 0.0, 0.0], "variable": True}


def craft(before: dict[str, object], after: dict[str, object], **model: object) -> CraftImpact:
    """The zone changes; everything else of the model stays."""
    keys = {"mass": [ENGINE], "hydrostatics": HYDROSTATICS, **model}
    return compared(snapshot(model=keys, **before), snapshot(model=keys, **after)).craft


# One square metre of the cloth weighs 1.2 kg: 100 m² are 120 kg.
GM_HEAVY = 0.5 + 524 / 1120 - 536 / 1180
GM_LIGHT = 0.5 + 536 / 1180 - 524 / 1120
LIGHT = {"area_m2": 100.0, "centroid_m": (6.0, 1.0, 0.2)}
HEAVY = {"area_m2": 150.0, "centroid_m": (6.0, 1.0, 0.2)}


def test_weight_added_forward_to_port_sinks_trims_by_the_bow_and_heels_to_port() -> None:
    """60 kg at x = 6, y = 1: 60/200 cm deeper; 60·(6−4)/100 cm by the bow; VCG from 524/1120 to 536/1180, and GM
    grows by as much; tan φ = 60·1/(1180·GM)."""
    balance = craft(LIGHT, HEAVY).balance
    assert balance.sinkage_mm == pytest.approx(3.0)
    assert balance.trim_mm == pytest.approx(12.0)
    assert balance.heel_deg == pytest.approx(math.degrees(math.atan(60 / (1180 * GM_HEAVY))))
    assert balance.gm_change_mm == pytest.approx(1000 * (GM_HEAVY - 0.5))
    assert balance.gm_change_mm == pytest.approx(13.6199, rel=1e-5)


def test_weight_taken_off_does_the_opposite() -> None:
    balance = craft(HEAVY, LIGHT).balance
    assert (balance.sinkage_mm, balance.trim_mm) == pytest.approx((-3.0, -12.0))
    assert balance.heel_deg == pytest.approx(-math.degrees(math.atan(60 / (1120 * GM_LIGHT))))
    assert balance.gm_change_mm == pytest.approx(-13.6199, rel=1e-5)


def test_a_gm_stated_anew_is_that_of_the_craft_after_the_change() -> None:
    """0.5 m before and 0.56 m after, whatever the weights say; the heel is that with 0.56 m."""
    one, two = (
        snapshot(model={"mass": [ENGINE], "hydrostatics": {**HYDROSTATICS, "gm_m": gm}}, **zone)
        for gm, zone in ((0.5, LIGHT), (0.56, HEAVY))
    )
    balance = compared(one, two).craft.balance
    assert balance.gm_change_mm == pytest.approx(60.0)
    assert balance.heel_deg == pytest.approx(math.degrees(math.atan(60 / (1180 * 0.56))))


def test_a_craft_that_does_not_stand_upright_has_no_heel_and_says_so() -> None:
    """120 kg from 0.2 m up to 6 m: VCG rises by 120·5.8/1120 = 0.621 m, more than GM is."""
    balance = craft(LIGHT, {**LIGHT, "centroid_m": (6.0, 0.5, 6.0)}).balance
    assert balance.gm_change_mm == pytest.approx(-1000 * 120 * 5.8 / 1120)
    assert balance.heel_deg is None
    assert "GM is not above 0" in (balance.note or "")


def test_weight_shifted_only_trims_and_heels() -> None:
    """120 kg from x = 6 to 5 and y = 1 to 0: moment −120 kg·m both ways."""
    balance = craft(LIGHT, {**LIGHT, "centroid_m": (5.0, 0.0, 0.2)}).balance
    assert balance.sinkage_mm == pytest.approx(0.0)
    assert balance.trim_mm == pytest.approx(-12.0)
    assert balance.heel_deg == pytest.approx(-math.degrees(math.atan(120 / (1120 * 0.5))))


def test_weight_added_over_the_centre_of_flotation_leaves_the_trim() -> None:
    over = {"centroid_m": (4.0, 0.0, 0.0)}
    assert craft({**LIGHT, **over}, {**HEAVY, **over}).balance.trim_mm == pytest.approx(0.0)


def test_other_masses_count_and_tanks_by_the_fill_of_the_condition() -> None:
    """Fuel doubled to 1000 kg at x = 4 = lcf; the targets' condition is full: 500 kg more."""
    full = {"hydrostatics": HYDROSTATICS, "targets": {"condition": "full"}}
    one = snapshot(model={**full, "mass": [ENGINE, FUEL]}, **LIGHT)
    two = snapshot(model={**full, "mass": [ENGINE, {**FUEL, "mass_kg": 1000.0}]}, **LIGHT)
    balance = compared(one, two).craft.balance
    assert balance.condition == "full"
    assert balance.sinkage_mm == pytest.approx(25.0)
    assert balance.trim_mm == pytest.approx(0.0)
    assert balance.note is not None
    assert "(fuel" in balance.note


def test_without_hydrostatics_or_tanks_nothing_is_claimed() -> None:
    balance = craft(LIGHT, HEAVY, hydrostatics=None).balance
    assert (balance.sinkage_mm, balance.trim_mm, balance.heel_deg, balance.note) == (None, None, None, None)


def test_every_condition_has_its_mass_and_centre() -> None:
    """Laminate 120 → 180 kg at x = 6, engine 1000 kg at 2, fuel 500 kg at 4 by its fill."""
    impact = craft(LIGHT, HEAVY, mass=[ENGINE, FUEL], condition=[{"name": "arrival", "fill": 0.1}])
    assert [(c.name, c.fill) for c in impact.conditions] == [("light", 0.0), ("full", 1.0), ("arrival", 0.1)]
    for condition in impact.conditions:
        fuel = 500 * condition.fill
        old, new = ((6 * m + 2 * 1000 + 4 * fuel) / (m + 1000 + fuel) for m in (120, 180))
        assert condition.figures["mass_kg"].delta == pytest.approx(60)
        assert condition.figures["lcg_m"].before == pytest.approx(old)
        assert condition.figures["lcg_m"].delta == pytest.approx(new - old)
        assert set(condition.figures) == {"mass_kg", "lcg_m", "tcg_m", "vcg_m"}


def test_a_kilogram_saved_moves_the_centre_away_from_where_it_was() -> None:
    """Against the centre computed again with a gram less: 120 kg at x = 6 and 1000 kg at x = 2."""
    keys = {"mass": [ENGINE]}
    (zone,) = compared(snapshot(model=keys, **LIGHT), snapshot(model=keys, **LIGHT)).zones
    assert zone.per_kg_saved is not None
    for key, at, other in (("lcg_m", 6.0, 2.0), ("tcg_m", 1.0, 0.0), ("vcg_m", 0.2, 0.5)):
        centre = [((120 - less) * at + 1000 * other) / (1120 - less) for less in (0.0, 0.001)]
        assert zone.per_kg_saved[key] == pytest.approx((centre[1] - centre[0]) / 0.001, rel=1e-5)
    assert zone.per_kg_saved["lcg_m"] < 0
