"""What is built into a zone, line by line."""

from typing import Any

import pytest

from recipe_track.figures.materials import NotComputable
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.zone import zone_figures
from tests.recipes import case, figures

UNI = 0.6 / 0.68  # kg/m² of one infused ply of uni-600, fibre and resin


def masses(zone: ZoneFigures) -> dict[str, float]:
    return dict(zone.mass_by_kind_kg)


def test_mass_splits_by_kind_and_overlaps_count_for_fabrics_only() -> None:
    zone = figures(
        [
            {"material": "gelcoat", "thickness_mm": 0.6},
            {"material": "uni-600", "plies": 2},
            {"material": "pvc-80", "thickness_mm": 20},
            {"material": "uni-600"},
        ],
        area_m2=2.0,
        overlap_fraction=0.1,
    )
    assert masses(zone) == pytest.approx(
        {
            "fibre": 2 * 1.1 * 3 * 0.6,
            "resin": 2 * 1.1 * 3 * (UNI - 0.6) + 2 * (0.6 + 0.012 * 20),
            "core": 2 * 0.02 * 80,
            "coating": 2 * 0.0006 * 1250,
            "paste": 0,
        }
    )
    assert zone.mass_kg == pytest.approx(sum(masses(zone).values()))
    assert zone.areal_mass_kg_m2 == pytest.approx(0.75 + 3 * UNI + 1.6 + 0.84)


def test_partial_coverage_weighs_in_proportion_and_stays_out_of_the_stack() -> None:
    bare = figures([{"material": "uni-600"}])
    patched = figures(
        [{"material": "uni-600"}, {"material": "uni-600", "plies": 2, "coverage_fraction": 0.25}]
    )
    assert patched.mass_kg == pytest.approx(bare.mass_kg + 2 * 0.25 * UNI)
    for key in ("thickness_mm", "areal_mass_kg_m2", "fibre_kg_m2", "ei_x_kn_m2_per_m", "ea_y_mn_per_m"):
        assert getattr(patched, key) == getattr(bare, key)


def test_a_core_of_partial_coverage_makes_no_sandwich() -> None:
    zone = figures(
        [{"material": "uni-600"}, {"material": "pvc-80", "thickness_mm": 10, "coverage_fraction": 0.5}]
    )
    assert (zone.core_thickness_mm, zone.outer_fibre_kg_m2) == (0, None)
    assert masses(zone)["core"] == pytest.approx(0.5 * 0.8)


def test_fibre_per_skin_lies_before_the_first_and_after_the_last_core() -> None:
    uni, core = {"material": "uni-600"}, {"material": "pvc-80", "thickness_mm": 10}
    zone = figures([uni, uni, core, uni, core, uni | {"plies": 3}])
    assert (zone.outer_fibre_kg_m2, zone.inner_fibre_kg_m2) == pytest.approx((1.2, 1.8))
    assert zone.fibre_kg_m2 == pytest.approx(6 * 0.6)
    assert zone.core_thickness_mm == pytest.approx(20)


def test_a_single_skin_has_no_outer_and_inner_fibre() -> None:
    zone = figures([{"material": "uni-600"}])
    assert (zone.outer_fibre_kg_m2, zone.inner_fibre_kg_m2) == (None, None)


def test_the_fibre_fraction_of_a_zone_leaves_core_uptake_out() -> None:
    zone = figures([{"material": "uni-600"}, {"material": "pvc-80", "thickness_mm": 20}])
    assert zone.fibre_mass_fraction == pytest.approx(0.68)


def test_a_stiffener_weighs_by_length_and_girth_with_its_former() -> None:
    zone = figures(
        [{"material": "uni-600", "plies": 2}],
        form="stiffener",
        length_m=3.0,
        girth_mm=250,
        former={"material": "pvc-80", "section_mm2": 4800},
    )
    assert zone.area_m2 == pytest.approx(0.75)
    assert masses(zone)["core"] == pytest.approx(3 * 4800e-6 * 80)
    assert zone.mass_kg == pytest.approx(0.75 * 2 * UNI + 3 * 4800e-6 * 80)
    assert (zone.ei_x_kn_m2_per_m, zone.laminate, zone.deflection_mm) == (None, None, None)


def test_a_joint_weighs_by_length_and_has_no_area() -> None:
    zone = figures([], form="joint", length_m=6.0, paste="bond-paste", kg_per_m=0.8)
    assert masses(zone) == pytest.approx({"fibre": 0, "resin": 0, "core": 0, "coating": 0, "paste": 4.8})
    assert (zone.area_m2, zone.thickness_mm, zone.areal_mass_kg_m2) == (None, None, None)


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ({"area_m2": None}, "hull/bottom: no `area_m2`"),
        ({"form": "stiffener", "length_m": 2.0}, "no `girth_mm`"),
        ({"form": "joint", "length_m": 2.0, "kg_per_m": 0.8}, "no paste `None`"),
        ({"form": "joint", "length_m": 2.0, "paste": "bond-paste"}, "no `kg_per_m`"),
    ],
)
def test_a_missing_measure_is_named_with_its_zone(keys: dict[str, Any], says: str) -> None:
    with pytest.raises(NotComputable, match=says):
        zone_figures([case([{"material": "uni-600"}], **keys)])
