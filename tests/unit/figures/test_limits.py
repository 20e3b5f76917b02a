"""Required minima and limits of a zone held against its figures."""

import pytest

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
