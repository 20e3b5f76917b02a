"""A whole comparison: statuses, keys, a model on one side only."""

from dataclasses import asdict, replace

import pytest

from recipe_track.figures.results import CRAFT_KEYS, PART_KEYS, ZONE_KEYS
from recipe_track.impact.effects import ZoneImpact, delta_of
from recipe_track.recipe.snapshot import Snapshot
from tests.unit.impact.yard import compared, fabric, prices, snapshot, without_model


def only(before: Snapshot, after: Snapshot) -> ZoneImpact:
    (zone,) = compared(before, after).zones
    return zone


def test_a_delta_has_a_percentage_only_of_something() -> None:
    assert asdict(delta_of(4.0, 5.0)) == {"before": 4.0, "after": 5.0, "delta": 1.0, "percent": 25.0}
    assert (delta_of(0.0, 5.0).delta, delta_of(0.0, 5.0).percent) == (5.0, None)
    assert (delta_of(None, 5.0).delta, delta_of(None, 5.0).percent) == (None, None)
    assert (delta_of(5.0, None).delta, delta_of(5.0, None).percent) == (None, None)
    assert delta_of(-4.0, -5.0).percent == 25.0


def test_every_single_number_of_the_figures_is_a_key() -> None:
    """The keys of `figures` that are single numbers, as the description of the output lists them."""
    assert set(ZONE_KEYS) >= {
        "area_m2", "thickness_mm", "structural_thickness_mm", "core_thickness_mm", "areal_mass_kg_m2",
        "mass_kg", "fibre_kg_m2", "outer_fibre_kg_m2", "inner_fibre_kg_m2", "fibre_mass_fraction",
        "ea_x_mn_per_m", "ea_y_mn_per_m", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m", "s_x_kn_per_m",
        "s_y_kn_per_m", "deflection_mm", "patch_deflection_mm", "core_shear_use", "strain_use",
        "wrinkling_use", "material_cost", "labour_cost", "cost",
    }  # fmt: skip
    centre = {"lcg_m", "tcg_m", "vcg_m"}
    costs = {"material_cost", "labour_cost", "process_cost", "cost"}
    assert set(PART_KEYS) == {"mass_kg", *centre, *costs}
    assert set(CRAFT_KEYS) == {"laminate_mass_kg", "mass_kg", *centre, *costs}
    impact = compared(snapshot(), snapshot())
    assert set(impact.zones[0].figures) == set(ZONE_KEYS)
    assert set(impact.parts[0].figures) == set(PART_KEYS)
    assert set(impact.craft.figures) == set(CRAFT_KEYS)


def test_status_unchanged() -> None:
    assert only(snapshot(), snapshot()).status == "unchanged"


@pytest.mark.parametrize(
    "after",
    [
        pytest.param(snapshot(({"material": "cloth", "note": "butt joints"},)), id="a note"),
        pytest.param(snapshot(name="Bottom"), id="a name"),
        pytest.param(snapshot(cloth=fabric(infusion=0.51)), id="a definition"),
        pytest.param(snapshot(part={"process": "infusion", "resin": "polyester"}), id="the part's resin"),
        pytest.param(snapshot(price_list=prices(cloth=1.0, vinylester=1.0)), id="a price list"),
    ],
)
def test_status_changed(after: Snapshot) -> None:
    zone = only(snapshot(), after)
    assert zone.status == "changed"
    assert {row.mark for row in zone.layers} == {"kept"}


def test_a_price_alone_changes_the_status() -> None:
    one, two = (snapshot(price_list=prices(cloth=p, vinylester=1.0)) for p in (1.0, 1.1))
    assert only(one, two).status == "changed"


def test_a_change_that_no_figure_of_a_zone_knows_leaves_it_unchanged() -> None:
    """Consumables are the part's; the certificate of a fabric is no value of the zone."""
    assert only(snapshot(), snapshot(part={"consumables_per_m2": 9.0})).status == "unchanged"
    assert (
        only(snapshot(), snapshot(cloth={**fabric(infusion=0.5), "certificate": "C 1"})).status == "unchanged"
    )


def test_a_zone_under_another_name_is_compared() -> None:
    (zone,) = snapshot().models["craft"].parts["hull"].zones.values()
    later = zone.model_copy(update={"formerly": ("hull/bottom",)})
    found = only(snapshot(), snapshot(zones={"bottom-aft": later}))
    assert (found.zone, found.before_zone, found.status) == ("hull/bottom-aft", "hull/bottom", "changed")
    assert found.figures["mass_kg"].delta == 0


def test_a_zone_that_moved_to_another_part_leaves_the_one_and_joins_the_other() -> None:
    before = snapshot(part={"consumables_per_m2": 5.0}, price_list=prices(cloth=10.0, vinylester=5.0))
    tree = before.models["craft"]
    hull = tree.parts["hull"]
    moved = hull.zones["bottom"].model_copy(update={"formerly": ("hull/bottom",)})
    side = hull.zones["bottom"].model_copy(update={"area_m2": 3.0})
    old = replace(hull, zones={"bottom": hull.zones["bottom"], "side": side})
    new = replace(hull, zones={"side": side})
    deck = replace(hull, id="deck", zones={"edge": side})
    deck_after = replace(deck, zones={"edge": side, "bottom": moved})
    one = replace(before, models={"craft": replace(tree, parts={"hull": old, "deck": deck})})
    two = replace(before, models={"craft": replace(tree, parts={"hull": new, "deck": deck_after})})
    impact = compared(one, two)
    assert [zone.status for zone in impact.zones] == ["changed", "unchanged", "unchanged"]
    causes = {part.part: part.causes for part in impact.parts}
    for part, sign in (("deck", 1), ("hull", -1)):
        sheet = causes[part]
        assert sheet is not None
        assert sheet["mass_kg"]["layup"] == pytest.approx(sign * 1.2)
        assert sheet["cost"]["layup"] == pytest.approx(sign * (9.0 + 5.0))
    assert impact.craft.causes is not None
    assert impact.craft.causes["cost"]["layup"] == pytest.approx(0.0)


def test_a_model_that_is_new_or_gone() -> None:
    new = compared(without_model(snapshot()), snapshot())
    assert [zone.status for zone in new.zones] == ["added"]
    assert {row.mark for row in new.zones[0].layers} == {"added"}
    assert new.craft.figures["mass_kg"].before is None
    assert new.craft.figures["mass_kg"].after == pytest.approx(1.2)
    assert new.craft.causes == {}
    assert new.craft.balance.sinkage_mm is None
    gone = compared(snapshot(), without_model(snapshot()))
    assert [zone.status for zone in gone.zones] == ["removed"]
    assert gone.zones[0].per_kg_saved is None
    assert gone.parts[0].causes == {}


def test_an_upside_down_stack_is_told() -> None:
    layers = ({"material": "csm-300"}, {"material": "cloth"})
    assert only(snapshot(layers), snapshot(layers[::-1])).reversed
    assert not only(snapshot(layers), snapshot(layers)).reversed
