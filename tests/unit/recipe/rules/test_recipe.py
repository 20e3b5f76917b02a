"""Each rule across keys and files, provoked once: the fault, its file and its key."""

from dataclasses import replace
from typing import Any

import pytest

from recipe_track.errors import Fault
from recipe_track.recipe import rules
from recipe_track.recipe.craft import Hull, Model, Prices
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.snapshot import Snapshot
from tests.recipes import WORKED, material, read_recipe

SIDE = "models/demo/deck/side.toml"


@pytest.fixture
def snapshot() -> Snapshot:
    return read_recipe(WORKED)


def faults(snapshot: Snapshot) -> list[Fault]:
    return list(rules.check(snapshot))


def only(snapshot: Snapshot, file: str, key: tuple[Any, ...], words: str) -> Fault:
    found = [f for f in faults(snapshot) if f.file == file and f.key == key]
    assert len(found) == 1, faults(snapshot)
    assert words in found[0].message
    return found[0]


def with_material(snapshot: Snapshot, name: str, **keys: Any) -> Snapshot:
    old = snapshot.materials[name].model_dump(exclude_none=True) if name in snapshot.materials else {}
    data = {k: v for k, v in {**old, **keys}.items() if v is not None}
    return replace(snapshot, materials={**snapshot.materials, name: material(**data)})


def with_zone(snapshot: Snapshot, zone: str = "side", **keys: Any) -> Snapshot:
    tree = snapshot.models["demo"]
    part = tree.parts["deck"]
    old = part.zones[zone].model_dump(exclude_none=True, exclude_defaults=True) if zone in part.zones else {}
    data = {k: v for k, v in {**old, **keys}.items() if v is not None}
    zones = {**part.zones, zone: Zone.model_validate(data)}
    parts = {**tree.parts, "deck": replace(part, zones=zones)}
    return replace(snapshot, models={"demo": replace(tree, parts=parts)})


def with_layer(snapshot: Snapshot, n: int, **keys: Any) -> Snapshot:
    zone = snapshot.models["demo"].parts["deck"].zones["side"]
    layers = [layer.model_dump(exclude_none=True, exclude_defaults=True) for layer in zone.layup]
    layers[n] = {k: v for k, v in {**layers[n], **keys}.items() if v is not None}
    return with_zone(snapshot, layup=layers)


def test_the_worked_recipe_has_no_fault(snapshot: Snapshot) -> None:
    assert faults(snapshot) == []


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


def test_wet_and_cured_film_go_together(snapshot: Snapshot) -> None:
    bad = with_material(snapshot, "gelcoat", wet_thickness_mm=0.8)
    only(bad, "materials/gelcoat.toml", ("wet_thickness_mm",), "go together")


def prices(snapshot: Snapshot, **changed: Any) -> Snapshot:
    assert snapshot.prices is not None
    data = snapshot.prices.model_dump(exclude_none=True)
    materials = {k: v for k, v in {**data["materials"], **changed}.items() if v is not None}
    return replace(snapshot, prices=Prices.model_validate({**data, "materials": materials}))


def test_there_is_a_price_list(snapshot: Snapshot) -> None:
    only(replace(snapshot, prices=None), "prices.toml", (), "no price list")


def test_a_used_material_without_a_price_is_named(snapshot: Snapshot) -> None:
    fault = only(prices(snapshot, **{"biax-800": None}), "prices.toml", ("materials",), "`biax-800`")
    assert "deck/side" in fault.message


@pytest.mark.parametrize("price", [{}, {"per_kg": 1.0, "per_m2": 1.0}])
def test_a_price_has_one_measure(snapshot: Snapshot, price: dict[str, float]) -> None:
    only(prices(snapshot, gelcoat=price), "prices.toml", ("materials", "gelcoat"), "exactly one")


def test_a_resin_is_priced_by_weight(snapshot: Snapshot) -> None:
    bad = prices(snapshot, vinylester={"per_m2": 3.0})
    only(bad, "prices.toml", ("materials", "vinylester", "per_m2"), "not per_m2")


def test_a_price_of_nothing(snapshot: Snapshot) -> None:
    bad = prices(snapshot, gelcot={"per_kg": 1.0})
    assert "gelcoat" in only(bad, "prices.toml", ("materials", "gelcot"), "unknown material").hint


def with_model(snapshot: Snapshot, **keys: Any) -> Snapshot:
    tree = snapshot.models["demo"]
    data = {**tree.model.model_dump(exclude_none=True, exclude_defaults=True), **keys}
    return replace(snapshot, models={"demo": replace(tree, model=Model.model_validate(data))})


def test_conditions_have_names_of_their_own(snapshot: Snapshot) -> None:
    bad = with_model(snapshot, condition=[{"name": "light", "fill": 0.1}])
    only(bad, "models/demo/model.toml", ("condition", 0, "name"), "already")


def test_targets_hold_in_a_known_condition(snapshot: Snapshot) -> None:
    bad = with_model(snapshot, targets={"condition": "arival"})
    only(bad, "models/demo/model.toml", ("targets", "condition"), "unknown condition")


def test_a_range_runs_upwards(snapshot: Snapshot) -> None:
    bad = with_model(snapshot, targets={"lcg_m": [2.0, 1.0]})
    only(bad, "models/demo/model.toml", ("targets", "lcg_m"), "lower to the upper")


def test_a_part_has_a_resin(snapshot: Snapshot) -> None:
    tree = snapshot.models["demo"]
    part = tree.parts["deck"]
    wrong = replace(part, part=part.part.model_copy(update={"resin": "gelcoat"}))
    bad = replace(snapshot, models={"demo": replace(tree, parts={"deck": wrong})})
    only(bad, "models/demo/deck/part.toml", ("resin",), "unknown resin")


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


def test_notes_are_not_faults(snapshot: Snapshot) -> None:
    stiff = with_material(snapshot, "csm-300", stiffness_factor=1.0)
    assert faults(stiff) == []
    assert [f.file for f in rules.notes(stiff)] == ["materials/csm-300.toml"]


def test_a_hull_is_of_a_model_and_names_a_part_once(snapshot: Snapshot) -> None:
    part = {"part": "deck", "revision": "r1", "commit": "0" * 40, "state": "planned", "on": _day()}
    hull = Hull.model_validate({"model": "dem", "status": "planned", "part": [part, part]})
    found = {f.key for f in faults(replace(snapshot, hulls={"014": hull}))}
    assert found == {("model",), ("part", 1, "part")}


def _day() -> Any:
    from datetime import date

    return date(2026, 3, 1)
