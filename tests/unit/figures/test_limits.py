"""Required minima and limits of a zone held against its figures."""

import pytest

from recipe_track.figures.limits import exceeded_in, held_against, not_met_words
from tests.recipes import figures

UNI = {"material": "uni-600", "plies": 2}


def test_minima_and_limits_are_held_both_ways() -> None:
    zone = figures(
        [UNI],
        required={
            "source": "SC-1",
            "fibre_kg_m2_min": 1.2,
            "structural_thickness_mm_min": 2.0,
            "core_shear_use_max": 1.0,
        },
    )
    found = {r.key: (r.limit, r.value, r.met) for r in zone.required}
    assert found["fibre_kg_m2_min"] == (1.2, pytest.approx(1.2), True)
    limit, value, met = found["structural_thickness_mm_min"]
    assert (limit, met) == (2.0, False)
    assert value == pytest.approx(zone.structural_thickness_mm)
    assert found["core_shear_use_max"] == (1.0, None, None)
    assert "required structural_thickness_mm_min 2 is not met" in zone.notes
    assert not any("fibre_kg_m2_min" in note for note in zone.notes)


def test_a_zone_without_minima_says_so() -> None:
    zone = figures([UNI])
    assert zone.required == ()
    assert "no required minima recorded" in zone.notes


def test_a_figure_at_its_limit_meets_it() -> None:
    exact = figures([UNI]).ei_x_kn_m2_per_m
    zone = figures([UNI], required={"ei_x_kn_m2_per_m_min": exact})
    assert [r.met for r in zone.required] == [True]


def test_a_limit_missed_by_rounding_alone_is_met() -> None:
    total = 0.3 + 0.6  # 0.8999999999999999
    assert total < 0.9
    assert held_against("fibre_kg_m2_min", 0.9, total).met is True
    assert held_against("fibre_kg_m2_min", 0.9, 0.9 * (1 - 2e-9)).met is False
    assert held_against("strain_use_max", 0.9, 0.9 * (1 + 0.5e-9)).met is True
    assert held_against("strain_use_max", 0.9, 0.9 * (1 + 2e-9)).met is False
    assert held_against("tcg_m", (-0.02, 0.3), 0.1 + 0.2).met is True
    assert held_against("tcg_m", (-0.02, 0.3), -0.0201).met is False


def test_a_use_above_1_is_exceeded_and_one_of_1_is_not() -> None:
    uses = {"strain_use": 1.0 + 1e-10, "core_shear_use": 1.0001, "wrinkling_use": None}
    assert exceeded_in(uses) == ("core_shear_use",)


def test_what_is_not_met_is_told_in_digits_enough() -> None:
    near = held_against("fibre_kg_m2_min", 0.9, 0.9 - 1e-8)
    assert not_met_words(near) == "required fibre_kg_m2_min 0.9 is not met: 0.89999999"
    plain = held_against("core_thickness_mm_min", 15.0, 12.0)
    assert not_met_words(plain) == "required core_thickness_mm_min 15 is not met: 12"
