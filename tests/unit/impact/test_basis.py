"""What required minima rest on, and whether it changed."""

from dataclasses import replace
from typing import Any

import pytest

from recipe_track.figures.cases import ZoneCase
from recipe_track.impact.basis import basis_changes, layup_changed
from recipe_track.recipe.layup import Beam, Patch
from recipe_track.recipe.materials import StrainLimits
from tests.recipes import WORKED, read_recipe

RECIPE = read_recipe(WORKED)
DECK = RECIPE.models["demo"].parts["deck"]
SIDE = DECK.zones["side"]
CASE = ZoneCase("deck/side", SIDE, DECK.part, RECIPE.materials, None)


def with_panel(**keys: Any) -> ZoneCase:
    assert SIDE.panel is not None
    return with_zone(panel=SIDE.panel.model_copy(update=keys))


def with_zone(**keys: Any) -> ZoneCase:
    return replace(CASE, zone=SIDE.model_copy(update=keys))


def with_part(**keys: Any) -> ZoneCase:
    return replace(CASE, part=DECK.part.model_copy(update=keys))


def with_material(called: str, like: str | None = None, /, **keys: Any) -> ZoneCase:
    made = RECIPE.materials[like or called].model_copy(update=keys)
    return replace(CASE, materials={**RECIPE.materials, called: made})


def with_layer(line: int, case: ZoneCase = CASE, **keys: Any) -> ZoneCase:
    layers = list(SIDE.layup)
    layers[line - 1] = layers[line - 1].model_copy(update=keys)
    return replace(case, zone=SIDE.model_copy(update={"layup": tuple(layers)}))


@pytest.mark.parametrize(
    ("keys", "word"),
    [
        ({"span_mm": 460.0}, "span"),
        ({"length_mm": 1300.0}, "length"),
        ({"span_axis": "x"}, "span axis"),
        ({"pressure_kpa": 20.0}, "pressure"),
        ({"edges": "simply-supported"}, "edges"),
        ({"pressure_side": "bag"}, "side of the pressure"),
        ({"patch": Patch(force_kn=1.0, side_mm=100.0)}, "patch"),
    ],
)
def test_the_panel_is_part_of_the_basis(keys: dict[str, Any], word: str) -> None:
    assert basis_changes(CASE, with_panel(**keys)) == (word,)


def test_a_panel_that_comes_or_goes_is_a_change_of_basis() -> None:
    assert basis_changes(CASE, with_zone(panel=None)) == ("panel",)
    assert basis_changes(with_zone(panel=None), CASE) == ("panel",)


def test_what_a_panel_carries_is_no_basis() -> None:
    assert basis_changes(CASE, with_panel(carried_kg_m2=12.0)) == ()


@pytest.mark.parametrize(
    ("name", "keys", "said"),
    [
        ("pvc-80", {"g_mpa": 27.0}, ("core pvc-80",)),
        ("csm-300", {"areal_mass_g_m2": 310.0}, ("fabric csm-300",)),
        (
            "e-glass",
            {"e_axial_gpa": 72.0},
            ("fibre e-glass of csm-300", "fibre e-glass of biax-800", "fibre e-glass of wr-600"),
        ),
        ("pvc-80", {"supplier": "another", "board_m2": 2.0, "note": "x"}, ()),
        ("gelcoat", {"density_kg_m3": 1300.0}, ()),
    ],
)
def test_data_of_core_fabric_and_fibre_are_part_of_it(
    name: str, keys: dict[str, Any], said: tuple[str, ...]
) -> None:
    assert basis_changes(CASE, with_material(name, **keys)) == said


def test_a_layup_changes_by_what_works_not_by_what_is_said_of_it() -> None:
    first, *rest = SIDE.layup
    noted = SIDE.model_copy(update={"layup": (first.model_copy(update={"note": "spray"}), *rest)})
    thicker = SIDE.model_copy(update={"layup": (first.model_copy(update={"thickness_mm": 0.7}), *rest)})
    assert not layup_changed(SIDE, noted)
    assert layup_changed(SIDE, thicker)


def test_a_process_in_effect_is_part_of_it_by_what_it_is_for_each_layer() -> None:
    assert basis_changes(CASE, with_part(process="hand-layup")) == ("process",)
    assert basis_changes(CASE, with_layer(3, process="hand-layup")) == ("process",)
    assert basis_changes(CASE, with_layer(3, process="infusion")) == ()
    assert basis_changes(CASE, with_layer(1, process="hand-layup")) == (), "a coating"


def test_a_resin_in_effect_is_part_of_it_by_its_values() -> None:
    other = with_material("ester", "vinylester", e_gpa=2.9)
    same = with_material("ester", "vinylester", name="the same in another drum", supplier="x")
    for case, said in ((other, ("resin vinylester (now ester)",)), (same, ())):
        assert (
            basis_changes(CASE, replace(case, part=DECK.part.model_copy(update={"resin": "ester"}))) == said
        )
    assert basis_changes(CASE, with_material("vinylester", nu=0.36)) == ("resin vinylester",)
    assert basis_changes(CASE, with_layer(3, other, resin="ester")) == ("resin vinylester (now ester)",)


@pytest.mark.parametrize(
    ("name", "key", "process", "asks"),
    [
        ("biax-800", "fibre_mass_fraction", "infusion", True),
        ("biax-800", "fibre_mass_fraction", "hand-layup", False),
        ("csm-300", "fibre_mass_fraction", "hand-layup", True),
        ("pvc-80", "surface_uptake_g_m2", "infusion", True),
        ("pvc-80", "perforation_uptake_g_m2_mm", "hand-layup", False),
    ],
)
def test_values_of_the_process_in_use_alone_are_part_of_it(
    name: str, key: str, process: str, asks: bool
) -> None:
    said = getattr(RECIPE.materials[name], key)
    changed = with_material(name, **{key: {**said, process: said[process] * 0.9}})
    kind = "core" if name == "pvc-80" else "fabric"
    assert basis_changes(CASE, changed) == ((f"{kind} {name}",) if asks else ())


def test_voids_in_use_are_part_of_it_once_they_are_stated() -> None:
    some, more = (with_material("biax-800", void_fraction={"infusion": voids}) for voids in (0.02, 0.03))
    assert basis_changes(some, more) == ("fabric biax-800",)
    assert (
        basis_changes(some, with_material("biax-800", void_fraction={"infusion": 0.02, "hand-layup": 0.1}))
        == ()
    )


def test_a_material_replaced_by_one_of_other_values_is_a_change_of_basis() -> None:
    """A biax for a mat of equal fibre mass, or the other way round, keeps every minimum of fibre."""
    mat = with_layer(3, material="csm-300")
    assert basis_changes(CASE, mat) == ("biax-800 (now csm-300)",)
    assert basis_changes(mat, CASE) == ("csm-300 (now biax-800)",)
    renamed = with_material("biax-800-new", "biax-800", name="as before", supplier="another")
    assert basis_changes(CASE, with_layer(3, renamed, material="biax-800-new")) == ()


def test_a_fibre_renamed_with_equal_values_is_none() -> None:
    renamed = with_material("glass-e", "e-glass")
    fabric = RECIPE.materials["biax-800"].model_copy(update={"fibre": "glass-e"})
    assert basis_changes(CASE, replace(renamed, materials={**renamed.materials, "biax-800": fabric})) == ()
    stiffer = with_material("glass-e", "e-glass", e_axial_gpa=80.0)
    other = replace(stiffer, materials={**stiffer.materials, "biax-800": fabric})
    assert basis_changes(CASE, other) == ("fibre glass-e of biax-800",)


def test_layers_that_come_or_go_are_judged_by_their_figures() -> None:
    fewer = with_zone(layup=SIDE.layup[:2] + SIDE.layup[3:])
    assert basis_changes(CASE, fewer) == ()
    assert basis_changes(fewer, CASE) == ()
    assert basis_changes(CASE, with_layer(4, thickness_mm=25.0)) == ()
    assert basis_changes(CASE, with_layer(3, angle_deg=30.0)) == ()


def test_a_fraction_that_a_layer_states_stands_for_that_of_its_material() -> None:
    stated = with_layer(3, fibre_mass_fraction=0.6)
    assert basis_changes(CASE, stated) == ("fibre mass fraction of biax-800",)
    assert basis_changes(CASE, with_layer(3, fibre_mass_fraction=0.68)) == (), "what the material says, too"


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"name": "x", "note": "y", "source": "z", "supplier": "s", "roll_width_m": 1.0}, ()),
        ({"areal_mass_tolerance_fraction": 0.05, "fibre_mass_fraction_tolerance": 0.02}, ()),
        ({"strain_limits": None}, ("fabric biax-800",)),
        ({"strain_limits": StrainLimits(tension=0.003, compression=0.003, transverse=0.002, shear=0.006)},
         ("fabric biax-800",)),
    ],
)  # fmt: skip
def test_what_is_no_value_is_no_basis_and_a_limit_taken_out_is(
    keys: dict[str, Any], said: tuple[str, ...]
) -> None:
    assert basis_changes(CASE, with_material("biax-800", **keys)) == said


def test_limits_stated_where_there_were_none_are_newly_checked() -> None:
    bare = with_material("biax-800", strain_limits=None)
    assert basis_changes(bare, CASE) == ()
    some = with_material("biax-800", strain_limits=StrainLimits(tension=0.0035))
    assert basis_changes(some, CASE) == ()
    weak = with_material("pvc-80", shear_strength_mpa=None)
    assert basis_changes(weak, CASE) == ()
    assert basis_changes(CASE, weak) == ("core pvc-80",)


def test_the_beam_of_a_stiffener_is_part_of_it_but_for_what_it_carries() -> None:
    keys = {"span_mm": 1200.0, "load_width_mm": 450.0, "pressure_kpa": 18.0, "ends": "clamped"}
    girder, longer, laden = (
        with_zone(form="stiffener", beam=Beam.model_validate({**keys, **more}))
        for more in ({}, {"span_mm": 1300.0}, {"carried_kg_m": 3.0})
    )
    assert basis_changes(girder, longer) == ("beam span",)
    assert basis_changes(girder, laden) == ()
    assert basis_changes(girder, with_zone(form="stiffener")) == ("beam",)


def test_a_stiffener_rests_on_what_it_stands_on() -> None:
    girder = with_zone(form="stiffener")
    on_side, on_thin = replace(girder, attached=CASE), replace(girder, attached=with_layer(3, plies=1))
    assert basis_changes(on_side, on_thin) == ("layup of deck/side",)
    softer = replace(girder, attached=with_material("biax-800", stiffness_factor=0.8))
    assert basis_changes(on_side, softer) == ("fabric biax-800 of deck/side",)
    assert basis_changes(on_side, replace(on_side, attached=with_panel(span_mm=200.0))) == ()
