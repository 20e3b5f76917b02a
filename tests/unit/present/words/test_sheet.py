"""The steps of a layup sheet: what is cut, taken and mixed, which way a cloth lies."""

from dataclasses import replace
from typing import Any

import pytest

from recipe_track.figures.craft import zone_cases
from recipe_track.present.words.sheet import part_words, section_words, zone_changes
from recipe_track.review.papers.sheet_zones import sheet_zone
from recipe_track.review.papers.steps import axis_deg, mixes_of, steps_of
from tests.recipes import WORKED, case, changed, part, read_recipe
from tests.recipes import materials as known

WASTE = {"reinforcement": 0.12, "core": 0.15, "resin": 0.05, "coating": 0.20, "paste": 0.10}


def test_a_cloth_is_cut_with_overlaps_and_waste_but_its_resin_is_what_stays_in() -> None:
    of = part(wastage_fraction=WASTE)
    step = steps_of(case([{"material": "uni-600", "plies": 3}], of=of, area_m2=2.0, overlap_fraction=0.05))[0]
    assert step.laid_m2 == pytest.approx(2.0 * 1.05 * 3)
    assert step.cut_m2 == pytest.approx(2.0 * 1.05 * 3 * 1.12)
    # fibre 0.6 kg/m² at a fibre mass fraction of 0.68 takes 0.6 · 0.32/0.68 kg/m² of resin
    assert step.resin_kg == pytest.approx(2.0 * 1.05 * 3 * 0.6 * 0.32 / 0.68)


def test_a_patch_is_cut_for_its_share_of_the_zone() -> None:
    layer = {"material": "uni-600", "coverage_fraction": 0.15, "extent": "under the floors"}
    step = steps_of(case([layer], of=part(), area_m2=4.0))[0]
    assert step.cut_m2 == pytest.approx(0.6)
    assert step.extent == "under the floors"


def test_a_coating_is_sprayed_wet_where_its_material_says_how_it_shrinks() -> None:
    base = known()
    layup = [{"material": "gelcoat", "thickness_mm": 0.5}]
    film = {"wet_thickness_mm": 0.75, "cured_thickness_mm": 0.6}
    both = changed(base, "gelcoat", **film, liquid_density_kg_m3=1150)
    sprayed = steps_of(case(layup, using=both, of=part(wastage_fraction=WASTE)))[0]
    assert sprayed.wet_mm == pytest.approx(0.5 * 0.75 / 0.6)
    assert sprayed.take_kg == pytest.approx(0.5e-3 * 0.75 / 0.6 * 1150 * 1.2)
    for using in (base, changed(base, "gelcoat", **film)):
        unknown = steps_of(case(layup, using=using, of=part(wastage_fraction=WASTE)))[0]
        assert unknown.wet_mm is None
        assert unknown.take_kg == pytest.approx(0.5e-3 * 1250 * 1.2)


def test_a_cloth_turned_over_shows_its_fibres_mirrored_about_its_own_direction() -> None:
    layers = [
        {"material": "skew-700", "angle_deg": 10},
        {"material": "skew-700", "angle_deg": 10, "flipped": True},
    ]
    laid, turned = steps_of(case(layers))
    assert laid.fibres_deg == pytest.approx((30, 85))  # 20° and 75° of the cloth, laid at 10°
    assert turned.fibres_deg == pytest.approx((-65, -10))  # the other face first, each angle mirrored
    assert turned.flipped


@pytest.mark.parametrize(
    ("angle", "axis"), [(135, -45), (-90, 90), (90, 90), (180, 0), (-45, -45), (270, 90)]
)
def test_a_direction_has_no_sense(angle: float, axis: float) -> None:
    assert axis_deg(angle) == pytest.approx(axis)


def test_a_stiffener_s_steps_say_on_which_part_of_its_section_a_layer_lies() -> None:
    layup = [{"material": "uni-600"}, {"material": "uni-600", "on": "crown", "plies": 2}]
    layup += [{"material": "uni-600", "on": on} for on in ("webs", "flanges")]
    shape = {"crown_mm": 60, "height_mm": 80, "base_mm": 90, "flange_mm": 50}
    hat = case(
        layup, of=part(wastage_fraction=WASTE), form="stiffener", length_m=2.0, section=shape,
        former={"material": "pvc-80"},
    )  # fmt: skip
    former, around, crown, webs, flanges = steps_of(hat)
    assert section_words(former) == "crown 60, height 80, base 90, flanges 50 mm"
    assert former.take_kg == pytest.approx(2.0 * 80e-3 * 75e-3 * 80)
    assert [part_words(step) for step in (around, crown, webs, flanges)] == [
        None, "on the crown, 60 mm wide", "on both webs, 81 mm wide each", "on both flanges, 50 mm wide each",
    ]  # fmt: skip
    assert crown.cut_m2 == pytest.approx(2.0 * 0.060 * 2 * 1.12)
    assert webs.laid_m2 == pytest.approx(2.0 * 2 * 0.0813941, rel=1e-6)


def test_a_mat_has_no_direction() -> None:
    assert steps_of(case([{"material": "csm-300"}]))[0].angle_deg is None


def test_resin_is_mixed_by_stage_process_and_kind_with_its_reserve() -> None:
    layup = [
        {"material": "csm-300", "process": "hand-layup"},
        {"material": "uni-600", "plies": 2},
        {"material": "uni-600", "stage": 2, "process": "hand-layup", "resin": "polyester"},
    ]
    zone = case(layup, of=part(wastage_fraction=WASTE), area_m2=2.0)
    mixes = mixes_of([zone, zone])
    assert [(m.stage, m.process, m.resin) for m in mixes] == [
        (1, "hand-layup", "vinylester"),
        (1, "infusion", "vinylester"),
        (2, "hand-layup", "polyester"),
    ]
    infused = mixes[1]
    assert infused.laid_kg == pytest.approx(2 * 2.0 * 2 * 0.6 * 0.32 / 0.68)
    assert infused.mix_kg == pytest.approx(infused.laid_kg * 1.05)


def test_every_kilogram_of_resin_is_mixed_once() -> None:
    layup = [
        {"material": "csm-300", "process": "hand-layup"},
        {"material": "pvc-80", "thickness_mm": 20},
        {"material": "uni-600"},
    ]
    zone = case(layup, area_m2=3.0)
    stepped = sum(step.resin_kg or 0.0 for step in steps_of(zone))
    assert sum(mix.laid_kg for mix in mixes_of([zone])) == pytest.approx(stepped)


def test_a_former_and_the_paste_of_a_joint_come_first() -> None:
    stiffener = case(
        [{"material": "uni-600"}], form="stiffener", length_m=3.0, girth_mm=300,
        former={"material": "pvc-80", "section_mm2": 4000, "height_mm": 50},
    )  # fmt: skip
    assert [step.kind for step in steps_of(stiffener)] == ["former", "fabric"]
    assert section_words(steps_of(stiffener)[0]) == "80 × 50 mm (4000 mm²)"
    of = part(wastage_fraction=WASTE)
    joint = case([], of=of, form="joint", length_m=10.0, paste="bond-paste", kg_per_m=1.2)
    assert steps_of(joint)[0].take_kg == pytest.approx(10 * 1.2 * 1.10)


RECIPE = read_recipe(WORKED)


def changes_after(material: str, **keys: Any) -> list[str]:
    """What the sheet of a zone says where the hull before had a material with other data."""
    tree = RECIPE.models["demo"]
    side = next(case for case in zone_cases(RECIPE, tree) if case.name == "deck/side")
    earlier = RECIPE.materials[material].model_copy(update=keys)
    before = replace(RECIPE, materials={**RECIPE.materials, material: earlier})
    return list(zone_changes(sheet_zone(RECIPE, side, RECIPE, tree, before, None)))


def test_another_supplier_or_product_is_said_as_what_it_is() -> None:
    assert changes_after("pvc-80", product_code="B80", supplier="Yard store") == [
        "CHANGED supplier of pvc-80: was Yard store, now –",
        "CHANGED product code of pvc-80: was B80, now –",
    ]
    assert changes_after("csm-300", roll_width_m=1.25) == [
        "CHANGED roll width of csm-300 [m]: was 1.25, now –"
    ]


def test_words_about_a_material_are_nothing_to_the_floor() -> None:
    assert changes_after("pvc-80", name="foam", note="as before", source="another book") == []
    assert changes_after("csm-300", areal_mass_tolerance_fraction=0.05) == []


def test_quantities_differ_only_where_they_do() -> None:
    assert changes_after("pvc-80", density_kg_m3=75.0) == ["CHANGED data of pvc-80: quantities differ"]
    assert changes_after("pvc-80", g_mpa=27.0) == [
        "CHANGED data of pvc-80: stiffness or strength; quantities as before"
    ]
