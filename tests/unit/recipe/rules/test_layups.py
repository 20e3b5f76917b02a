"""Each rule of zones and layers, provoked once: the fault, its file and its key."""

from typing import Any

import pytest

from recipe_track.recipe.snapshot import Snapshot
from tests.unit.recipe.rules.provoking import SIDE, faults, only, with_layer, with_zone


@pytest.mark.parametrize(
    ("keys", "key", "words"),
    [
        ({"area_m2": None}, ("area_m2",), "missing key"),
        ({"length_m": 2.0}, ("length_m",), "does not belong to a plate"),
        ({"layup": []}, ("layup",), "without layers"),
    ],
)
def test_a_plate_has_its_measures(
    snapshot: Snapshot, keys: dict[str, Any], key: tuple[str, ...], words: str
) -> None:
    only(with_zone(snapshot, **keys), SIDE, key, words)


def test_a_stiffener_and_a_joint_have_theirs(snapshot: Snapshot) -> None:
    base = {"centroid_m": [1.0, 0.0, 0.5]}
    stiff = with_zone(snapshot, "stringer", form="stiffener", **base)
    keys = {f.key[0] for f in faults(stiff)}
    assert keys == {"length_m", "girth_mm", "layup"}
    joint = with_zone(snapshot, "bond", form="joint", layup=[{"material": "wr-600"}], **base)
    assert {f.key[0] for f in faults(joint)} == {"length_m", "paste", "kg_per_m", "layup"}


def test_references_of_a_zone_exist(snapshot: Snapshot) -> None:
    base = {"centroid_m": [1.0, 0.0, 0.5], "form": "stiffener", "length_m": 2.0, "girth_mm": 200,
            "layup": [{"material": "wr-600"}]}  # fmt: skip
    former = {"material": "csm-300", "section_mm2": 900}
    bad = with_zone(
        snapshot, "stringer", **base, former=former, attached="deck/sid", formerly=["deck/stringer"]
    )
    found = {f.key for f in faults(bad)}
    assert found == {("former", "material"), ("attached",), ("formerly", 0)}


@pytest.mark.parametrize(
    ("n", "keys", "key", "words"),
    [
        (1, {"material": "csm-30"}, "material", "unknown material"),
        (1, {"material": "vinylester"}, "material", "not a layer"),
        (0, {"thickness_mm": None}, "thickness_mm", "a coating needs one"),
        (3, {"thickness_mm": None}, "thickness_mm", "a core needs one"),
        (2, {"thickness_mm": 2.0}, "thickness_mm", "is computed"),
        (1, {"process": "spray-up"}, "material", "no fibre mass fraction"),
        (2, {"uptake_g_m2": 300}, "uptake_g_m2", "belongs to a core"),
        (3, {"fibre_mass_fraction": 0.5}, "fibre_mass_fraction", "does not belong"),
        (2, {"resin": "vinylster"}, "resin", "unknown resin"),
    ],
)
def test_a_layer_has_what_its_material_needs(
    snapshot: Snapshot, n: int, keys: dict[str, Any], key: str, words: str
) -> None:
    only(with_layer(snapshot, n, **keys), SIDE, ("layup", n, key), words)


def test_a_core_states_its_uptake_for_the_process(snapshot: Snapshot) -> None:
    bad = with_layer(snapshot, 3, process="vacuum-bag")
    assert {f.message.split(" of ")[0] for f in faults(bad)} == {
        "no surface_uptake_g_m2", "no perforation_uptake_g_m2_mm",
    }  # fmt: skip
    assert faults(with_layer(snapshot, 3, process="vacuum-bag", uptake_g_m2=500)) == []


def test_the_span_is_the_short_side_and_the_patch_lies_within(snapshot: Snapshot) -> None:
    panel = {"span_mm": 900, "length_mm": 450, "edges": "clamped", "pressure_kpa": 5,
             "patch": {"force_kn": 1.0, "side_mm": 500}}  # fmt: skip
    found = {f.key for f in faults(with_zone(snapshot, panel=panel))}
    assert found == {("panel", "span_mm"), ("panel", "patch", "side_mm")}


def test_a_zone_has_no_more_plies_than_can_be_computed(snapshot: Snapshot) -> None:
    layers = [{"material": "wr-600", "plies": n} for n in (999, 1, 1)]
    only(with_zone(snapshot, layup=layers), SIDE, ("layup", 2, "plies"), "more than 1,000 plies")


def test_a_model_has_no_more_zones_than_can_be_computed(
    snapshot: Snapshot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("recipe_track.recipe.rules.layups.MOST_ZONES", 1)
    told = [f for f in faults(snapshot) if f.code == "too-many-zones"]
    assert [(f.file, f.message) for f in told] == [
        ("models/demo/deck/side.toml", "zone 2 of 2: a model has at most 1")
    ]
