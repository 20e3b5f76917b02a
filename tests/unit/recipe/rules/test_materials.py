"""Each rule of the materials, provoked once: the fault, its file and its key."""

from typing import Any

import pytest

from recipe_track.recipe.snapshot import Snapshot
from tests.unit.recipe.rules.provoking import faults, only, with_material


def test_shares_sum_to_one(snapshot: Snapshot) -> None:
    bad = with_material(snapshot, "csm-300", directions=[{"random": True, "share": 0.9}])
    only(bad, "materials/csm-300.toml", ("directions",), "sum to 0.9")


def test_a_direction_is_an_angle_or_random(snapshot: Snapshot) -> None:
    bad = with_material(snapshot, "csm-300", directions=[{"share": 1.0}])
    only(bad, "materials/csm-300.toml", ("directions", 0), "either")


def test_a_fabric_is_made_of_a_fibre(snapshot: Snapshot) -> None:
    bad = with_material(snapshot, "wr-600", fibre="e-glas")
    assert only(bad, "materials/wr-600.toml", ("fibre",), "unknown fibre").hint == "did you mean `e-glass`?"


LAMINA = {
    "e1_gpa": 20.0,
    "e2_gpa": 10.0,
    "g12_gpa": 4.0,
    "nu12": 0.3,
    "thickness_mm": 0.9,
    "density_kg_m3": 1700,
}


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [("thickness_mm", 0.1, "less than its fibre"), ("nu12", 1.5, "not possible")],
)
def test_tested_values_are_possible(snapshot: Snapshot, key: str, value: float, words: str) -> None:
    bad = with_material(snapshot, "wr-600", lamina={**LAMINA, key: value})
    only(bad, "materials/wr-600.toml", ("lamina", key), words)


def test_tested_values_do_not_go_with_a_mat(snapshot: Snapshot) -> None:
    bad = with_material(snapshot, "csm-300", lamina=LAMINA)
    only(bad, "materials/csm-300.toml", ("lamina",), "random")


def test_a_fabric_needs_a_fraction_unless_tested(snapshot: Snapshot) -> None:
    bare = with_material(snapshot, "uni", kind="reinforcement", fibre="e-glass", areal_mass_g_m2=600,
                         directions=[{"angle_deg": 0, "share": 1.0}])  # fmt: skip
    only(bare, "materials/uni.toml", ("fibre_mass_fraction",), "missing")
    assert faults(with_material(bare, "uni", lamina=LAMINA)) == []


@pytest.mark.parametrize(
    "keys", [{"g_mpa": None}, {"g_mpa": None, "g_l_mpa": 9}, {"g_l_mpa": 9, "g_w_mpa": 5}]
)
def test_a_core_has_one_shear_modulus_or_two(snapshot: Snapshot, keys: dict[str, Any]) -> None:
    bad = with_material(snapshot, "pvc-80", **keys)
    assert [f.file for f in faults(bad)] == ["materials/pvc-80.toml"]


@pytest.mark.parametrize(
    ("keys", "at"),
    [
        ({"shear_strength_mpa": None, "shear_strength_l_mpa": 0.9}, "shear_strength_l_mpa"),
        ({"shear_strength_mpa": None, "shear_strength_w_mpa": 0.9}, "shear_strength_w_mpa"),
        (
            {"shear_strength_mpa": 1.0, "shear_strength_l_mpa": 1.2, "shear_strength_w_mpa": 0.9},
            "shear_strength_l_mpa",
        ),
    ],
)
def test_a_core_has_one_shear_strength_or_two(snapshot: Snapshot, keys: dict[str, Any], at: str) -> None:
    only(with_material(snapshot, "pvc-80", **keys), "materials/pvc-80.toml", (at,), "either")
    both = {"shear_strength_mpa": None, "shear_strength_l_mpa": 1.2, "shear_strength_w_mpa": 0.9}
    assert faults(with_material(snapshot, "pvc-80", **both)) == []


def test_wet_and_cured_film_go_together(snapshot: Snapshot) -> None:
    bad = with_material(snapshot, "gelcoat", wet_thickness_mm=0.8)
    only(bad, "materials/gelcoat.toml", ("wet_thickness_mm",), "go together")
