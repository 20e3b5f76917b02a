"""Who else uses what a change touches."""

from dataclasses import replace

from recipe_track.impact.materials import (
    changed_materials,
    changed_prices,
    differing_keys,
    material_reach,
    touched_zones,
)
from recipe_track.recipe.craft import Model
from recipe_track.recipe.snapshot import ModelTree, Snapshot
from tests.recipes import changed
from tests.unit.impact.yard import FABRIC, compared, fabric, prices, snapshot


def fleet(base: Snapshot) -> Snapshot:
    """A second model whose only zone is made of another fabric of the same fibre."""
    other = snapshot(({"material": "csm-300"},)).models["craft"]
    tender = ModelTree("tender", Model(origin="transom"), {"shell": replace(other.parts["hull"], id="shell")})
    return replace(base, models={**base.models, "tender": tender})


def test_a_changed_fabric_reaches_the_zones_it_is_laid_in() -> None:
    before, after = snapshot(), snapshot(cloth=fabric(infusion=0.6))
    assert changed_materials(before, after) == {"cloth"}
    (reach,) = material_reach(fleet(after), changed_materials(before, after))
    assert (reach.material, dict(reach.zones)) == ("cloth", {"craft": ("hull/bottom",)})
    assert reach.others("craft") == {}


def test_a_changed_fibre_reaches_every_zone_of_its_fabrics() -> None:
    before = fleet(snapshot())
    after = replace(before, materials=changed(before.materials, "e-glass", density_kg_m3=2500.0))
    (reach,) = material_reach(after, changed_materials(before, after))
    assert reach.zones == {"craft": ("hull/bottom",), "tender": ("shell/bottom",)}
    assert reach.others("craft") == {"tender": ("shell/bottom",)}


def test_the_fibre_of_one_direction_of_a_hybrid_counts() -> None:
    (carbon,) = material_reach(snapshot(({"material": "hybrid-500"},)), {"carbon"})
    assert carbon.zones == {"craft": ("hull/bottom",)}


def test_a_changed_resin_reaches_the_parts_made_with_it() -> None:
    before = fleet(snapshot(part={"resin": "polyester"}))
    (polyester, vinylester) = material_reach(before, {"vinylester", "polyester"})
    assert polyester.zones == {"craft": ("hull/bottom",)}
    assert vinylester.zones == {"tender": ("shell/bottom",)}


def test_words_about_a_material_change_nothing() -> None:
    before = snapshot()
    after = replace(before, materials=changed(before.materials, "e-glass", source="another data sheet"))
    assert changed_materials(before, after) == frozenset()


def test_changed_prices() -> None:
    before, after = (
        snapshot(price_list=prices(cloth=1.0, foam=2.0)),
        snapshot(price_list=prices(cloth=1.5, foam=2.0)),
    )
    assert changed_prices(before, after) == {"cloth"}
    assert changed_prices(before, snapshot()) == frozenset()


def test_touched_zones_go_by_both_names() -> None:
    (zone,) = snapshot().models["craft"].parts["hull"].zones.values()
    later = zone.model_copy(update={"formerly": ("hull/bottom",)})
    same = zone.model_copy(update={"area_m2": 4.0})
    before = snapshot(zones={"bottom": zone, "side": same})
    after = snapshot(zones={"bottom-aft": later, "side": same})
    assert touched_zones(compared(before, after)) == {"hull/bottom", "hull/bottom-aft"}


def test_what_a_minimum_says_is_no_change_of_what_a_zone_is_computed_from() -> None:
    limit = {"required": {"fibre_kg_m2_min": 0.5}}
    old, new = (s.models["craft"].parts["hull"].zones["bottom"] for s in (snapshot(), snapshot(**limit)))
    assert differing_keys(old, new) == ()
    assert differing_keys(old, new.model_copy(update={"area_m2": 2.0, "note": "larger"})) == ("area_m2",)


def test_words_within_a_table_are_words_too() -> None:
    directions = FABRIC["directions"]
    noted = [{**directions[0], "note": "along the roll"}]
    turned = [{**directions[0], "angle_deg": 10}]
    plain, said, other = (
        snapshot(cloth={**fabric(infusion=0.5), "directions": each}).materials["cloth"]
        for each in (directions, noted, turned)
    )
    assert differing_keys(plain, said) == ()
    assert differing_keys(plain, other) == ("directions",)
    assert differing_keys(plain, other, ("figures",)) == ()
