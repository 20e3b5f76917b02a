"""Causes and edits of changes small enough to be shared out by hand."""

from typing import Any

import pytest

from recipe_track.figures.zone import zone_figures
from recipe_track.impact.effects import ZoneImpact
from recipe_track.recipe.craft import Prices
from tests.recipes import case
from tests.unit.impact.yard import CORE, compared, fabric, prices, snapshot

TWO, THREE = ({"material": "cloth", "plies": 2},), ({"material": "cloth", "plies": 3},)


def approx(**shares: float) -> Any:
    none = dict.fromkeys(("layup", "geometry", "materials", "process", "prices"), 0.0)
    return pytest.approx({**none, **shares}, rel=1e-12, abs=1e-12)


def only(impact: Any) -> ZoneImpact:
    (zone,) = impact.zones
    return zone


BEFORE = snapshot(TWO, area_m2=2.0, cloth=fabric(infusion=0.5), price_list=prices(cloth=10.0, vinylester=5.0))
AFTER = snapshot(
    THREE, area_m2=3.0, cloth=fabric(infusion=0.6), price_list=prices(cloth=12.0, vinylester=5.0)
)


def test_the_mass_of_three_changes_at_once() -> None:
    """Mass = area · plies · kg/m² of a ply.

    A ply is 0.6 kg/m² of fibre with as much resin at ψ = 0.5 (1.2 kg/m²), and 0.4 of it at ψ = 0.6 (1.0).
    Area a 2 → 3 (geometry), plies p 2 → 3 (layup), ply weight w 1.2 → 1.0 (materials):
    before 2·2·1.2 = 4.8 kg, after 3·3·1.0 = 9.0 kg, delta 4.2 kg.
    A player is first of three in 2 of 6 orders, last in 2, and second after either of the others in 1 each:
      geometry  Δa · (p₀w₀/3 + (p₁w₀ + p₀w₁)/6 + p₁w₁/3) = 1 · (0.8 + (3.6 + 2.0)/6 + 1.0) = 2.7333…
      layup     Δp · the same with a in place of p, and a = p here                          = 2.7333…
      materials Δw · (a₀p₀/3 + (a₁p₀ + a₀p₁)/6 + a₁p₁/3) = −0.2 · (4/3 + 12/6 + 9/3)        = −1.2666…
    """
    zone = only(compared(BEFORE, AFTER))
    figures = zone.figures["mass_kg"]
    assert (figures.before, figures.after) == pytest.approx((4.8, 9.0))
    assert figures.delta == pytest.approx(4.2)
    assert figures.percent == pytest.approx(87.5)
    assert zone.causes is not None
    assert zone.causes["mass_kg"] == approx(
        geometry=0.8 + 5.6 / 6 + 1.0, layup=0.8 + 5.6 / 6 + 1.0, materials=-0.2 * (4 / 3 + 2 + 3)
    )


def test_the_cost_of_four_changes_at_once() -> None:
    """Cost = a · p · (0.6 kg/m² · price of cloth + resin kg/m² · 5): two products, shared out one by one.

    Cloth: a 2 → 3, p 2 → 3, q = 0.6·10 → 0.6·12 = 6 → 7.2; from 24 to 64.8, +40.8:
      geometry = layup = 2·6/3 + (3·6 + 2·7.2)/6 + 3·7.2/3 = 4 + 5.4 + 7.2 = 16.6
      prices 1.2 · (4/3 + 2 + 3) = 7.6
    Resin: a, p as above, r = 0.6·5 → 0.4·5 = 3 → 2; from 12 to 18, +6:
      geometry = layup = 2·3/3 + (3·3 + 2·2)/6 + 3·2/3 = 2 + 13/6 + 2
      materials −1 · (4/3 + 2 + 3)
    """
    zone = only(compared(BEFORE, AFTER))
    assert (zone.figures["cost"].before, zone.figures["cost"].after) == pytest.approx((36.0, 82.8))
    assert zone.causes is not None
    both = 16.6 + 4 + 13 / 6
    assert zone.causes["cost"] == approx(
        geometry=both, layup=both, materials=-(4 / 3 + 5), prices=1.2 * (4 / 3 + 5)
    )


def test_process_costs_of_the_part_are_shared_out_beside_the_zones() -> None:
    """Consumables c · area a + set-up hours h · rate w.

    c 10 → 12, a 2 → 3: geometry 1 · (10+12)/2 = 11, process 2 · (2+3)/2 = 5 (20 → 36).
    h 1 → 2, w 40 → 50: process 1 · (40+50)/2 = 45, prices 10 · (1+2)/2 = 15 (40 → 100).
    The zone: 1 ply of cloth at 10/kg and resin at 5/kg, 0.6·10 + 0.6·5 = 9 per m², geometry 9.
    """
    listed = {"cloth": 10.0, "vinylester": 5.0}
    before = snapshot(
        area_m2=2.0,
        part={"consumables_per_m2": 10.0, "setup_hours": 1.0},
        price_list=prices(labour=40, **listed),
    )
    after = snapshot(
        area_m2=3.0,
        part={"consumables_per_m2": 12.0, "setup_hours": 2.0},
        price_list=prices(labour=50, **listed),
    )
    impact = compared(before, after)
    (part,) = impact.parts
    assert part.figures["process_cost"].delta == pytest.approx(76.0)
    assert part.causes is not None
    assert part.causes["cost"] == approx(geometry=11 + 9, process=5 + 45, prices=15)
    assert impact.craft.causes is not None
    assert impact.craft.causes["cost"] == approx(geometry=20, process=50, prices=15, other_masses=0.0)


def test_other_masses_are_a_cause_of_the_craft_alone() -> None:
    engine = {"item": "engine", "at_m": [2.0, 0.0, 0.3]}
    before = snapshot(TWO, model={"mass": [{**engine, "mass_kg": 900.0}]})
    after = snapshot(THREE, model={"mass": [{**engine, "mass_kg": 950.0}]})
    craft = compared(before, after).craft
    assert craft.causes is not None
    assert craft.causes["mass_kg"] == approx(layup=1.2, other_masses=50.0)
    assert "cost" not in craft.causes


def test_tanks_count_as_other_masses_by_the_fill_of_the_condition() -> None:
    """More fuel is nothing in the light craft, and all of it in the full one."""
    fuel = {"item": "fuel", "at_m": [3.0, 0.0, 0.1], "variable": True}
    for condition, expected in (("light", 0.0), ("full", 70.0)):
        sides = [
            snapshot(TWO, model={"mass": [{**fuel, "mass_kg": mass}], "targets": {"condition": condition}})
            for mass in (500.0, 570.0)
        ]
        craft = compared(*sides).craft
        assert craft.causes is not None
        assert craft.causes["mass_kg"] == approx(other_masses=expected)


def test_the_labour_rate_alone_is_a_price() -> None:
    """Cloth takes 30 min/m² a ply: 1 ply at 40/h is 20, 2 plies at 60/h are 60.

    layup Δp = 1 ply · (20 + 30)/2 = 25, prices 10 per ply · (1 + 2)/2 = 15.
    """
    before, after = (
        snapshot(
            [{"material": "cloth", "plies": plies}],
            price_list=Prices.model_validate(
                {
                    "currency": "EUR",
                    "labour_per_hour": rate,
                    "materials": {
                        "cloth": {"per_kg": 0.0, "labour_min_per_m2": 30.0},
                        "vinylester": {"per_kg": 0.0},
                    },
                }
            ),
        )
        for plies, rate in ((1, 40.0), (2, 60.0))
    )
    zone = only(compared(before, after))
    assert zone.causes is not None
    assert zone.causes["cost"] == approx(layup=25.0, prices=15.0)


def test_added_and_removed_zones_count_as_layup() -> None:
    bottom, side = (
        next(iter(snapshot(t, area_m2=a).models["craft"].parts["hull"].zones.values()))
        for t, a in ((TWO, 1.0), (THREE, 2.0))
    )
    cost = {"price_list": prices(cloth=10.0, vinylester=5.0), "part": {"consumables_per_m2": 7.0}}
    impact = compared(snapshot(zones={"bottom": bottom}, **cost), snapshot(zones={"side": side}, **cost))
    gone, come = impact.zones
    assert (gone.zone, gone.status, gone.before_zone) == ("hull/bottom", "removed", "hull/bottom")
    assert (come.zone, come.status, come.before_zone) == ("hull/side", "added", None)
    assert gone.causes == come.causes == {}
    assert gone.figures["mass_kg"].delta is None
    (part,) = impact.parts
    assert part.causes is not None
    assert part.causes["mass_kg"] == approx(layup=2 * 3 * 1.2 - 2 * 1.2)
    assert part.causes["cost"] == approx(layup=(2 * 3 - 2) * 9 + 7.0 * (2 - 1))


def test_a_lone_cause_takes_the_whole_delta() -> None:
    before, after = snapshot(area_m2=2.0), snapshot(area_m2=2.5)
    zone = only(compared(before, after))
    assert zone.causes is not None
    assert zone.causes["mass_kg"] == approx(geometry=0.6)
    assert zone.causes["ei_x_kn_m2_per_m"] == approx()


def test_another_currency_leaves_costs_without_delta_and_cause() -> None:
    before = snapshot(TWO, price_list=prices(cloth=10.0, vinylester=5.0))
    after = snapshot(THREE, price_list=prices("NOK", cloth=110.0, vinylester=55.0))
    impact = compared(before, after)
    zone = only(impact)
    assert zone.figures["cost"].before == pytest.approx(18.0)
    assert zone.figures["cost"].after == pytest.approx(3 * 99.0)
    for figures in (zone.figures, impact.parts[0].figures, impact.craft.figures):
        assert {figures[key].delta for key in ("material_cost", "labour_cost", "cost")} == {None}
        assert figures["mass_kg"].delta == pytest.approx(1.2)
    for causes in (zone.causes, impact.parts[0].causes, impact.craft.causes):
        assert causes is not None
        assert "cost" not in causes
        assert causes["mass_kg"]["layup"] == pytest.approx(1.2)


# What one side lacks is taken from the other


def test_a_missing_fraction_is_taken_from_the_other_sides_material() -> None:
    """The fabric gains its hand lay-up fraction 0.4 in the change that moves the part to hand lay-up.

    Ply weights: infusion 0.6/0.5 = 1.2, hand lay-up 0.6/0.4 = 1.5 whichever definition is in force.
    """
    before = snapshot(cloth=fabric(infusion=0.5))
    after = snapshot(cloth=fabric(infusion=0.5, hand_layup=0.4), part={"process": "hand-layup"})
    zone = only(compared(before, after))
    assert zone.causes is not None, zone.causes_note
    assert zone.causes["mass_kg"] == approx(process=0.3)


def test_each_side_lends_the_fraction_that_the_other_lacks() -> None:
    """Before only 0.5 infused, after only 0.4 by hand: a definition asks the other side first.

    So a ply weighs 1.2 infused and 1.5 by hand whichever definition is in force: the process is the cause.
    """
    before = snapshot(cloth=fabric(infusion=0.5))
    after = snapshot(cloth=fabric(hand_layup=0.4), part={"process": "hand-layup"})
    zone = only(compared(before, after))
    assert zone.causes is not None, zone.causes_note
    assert zone.causes["mass_kg"] == approx(process=0.3)


def test_a_fraction_that_both_sides_lack_is_that_of_the_other_process() -> None:
    """`cloth` exists on both sides for infusion alone, and leaves the layup as the part goes to hand lay-up.

    Cloth infused 0.6/0.5 = 1.2 kg/m²; by hand it has no fraction on either side and takes its infused one.
    `mat` 0.45/0.3 = 1.5 kg/m² by hand, 1.5 infused for want of another: the replacement is the one cause.
    """
    before = snapshot(cloth=fabric(infusion=0.5))
    after = snapshot(({"material": "mat"},), cloth=fabric(infusion=0.5), part={"process": "hand-layup"})
    after.materials["mat"] = type(after.materials["cloth"]).model_validate(  # type: ignore[index]
        {**fabric(hand_layup=0.3), "areal_mass_g_m2": 450}
    )
    zone = only(compared(before, after))
    assert zone.causes is not None, zone.causes_note
    assert zone.causes["mass_kg"] == approx(layup=0.3)


def test_a_missing_price_is_taken_from_the_other_side() -> None:
    before = snapshot(({"material": "csm-300"},), price_list=prices(**{"csm-300": 3.0, "vinylester": 5.0}))
    after = snapshot(price_list=prices(cloth=10.0, vinylester=5.0))
    zone = only(compared(before, after))
    assert zone.causes is not None
    delta = zone.figures["cost"].delta
    assert delta is not None
    assert zone.causes["cost"] == approx(layup=delta)


def test_a_resin_that_neither_side_lays_may_be_that_of_a_combination() -> None:
    """A layer in its own polyester becomes one in the part's, as the part goes from vinylester to polyester.

    Half way, after's layer lies in before's vinylester. Resin weighs the same whatever it is: no cause.
    """
    before = snapshot(({"material": "cloth", "resin": "polyester"},))
    after = snapshot(part={"resin": "polyester"})
    zone = only(compared(before, after))
    assert zone.causes is not None, zone.causes_note
    assert zone.causes["mass_kg"] == approx()
    stiffness = zone.causes["ei_x_kn_m2_per_m"]
    assert stiffness["layup"] == pytest.approx(-stiffness["process"])
    assert stiffness["layup"] != 0


def test_what_cannot_be_computed_is_said_and_spreads_to_part_and_craft() -> None:
    """The core has no uptake by hand before and none infused after: half a change cannot be computed."""
    layup = ({"material": "cloth"}, {"material": "foam", "thickness_mm": 10.0}, {"material": "cloth"})
    by_hand = {
        **CORE,
        "surface_uptake_g_m2": {"hand-layup": 100},
        "perforation_uptake_g_m2_mm": {"hand-layup": 0},
    }
    cloth = fabric(infusion=0.5, hand_layup=0.4)
    before = snapshot(layup, cloth=cloth)
    after = snapshot(layup, cloth=cloth, part={"process": "hand-layup"})
    after.materials["foam"] = type(after.materials["foam"]).model_validate(by_hand)  # type: ignore[index]
    impact = compared(before, after)
    zone = only(impact)
    assert zone.causes is None
    assert zone.causes_note is not None
    assert "no resin uptake of `foam`" in zone.causes_note
    assert zone.edits == ()
    for sheet in (impact.parts[0], impact.craft):
        assert sheet.causes is None
        assert sheet.causes_note is not None
        assert "hull/bottom" in sheet.causes_note
    assert zone.figures["mass_kg"].delta is not None


def test_a_zone_that_cannot_be_computed_leaves_the_others_alone() -> None:
    layup = ({"material": "cloth"}, {"material": "foam", "thickness_mm": 10.0}, {"material": "cloth"})
    by_hand = {
        **CORE,
        "surface_uptake_g_m2": {"hand-layup": 100},
        "perforation_uptake_g_m2_mm": {"hand-layup": 0},
    }
    cloth = fabric(infusion=0.5, hand_layup=0.4)
    zones = {
        **snapshot(layup).models["craft"].parts["hull"].zones,
        "side": next(iter(snapshot(TWO).models["craft"].parts["hull"].zones.values())),
    }
    before = snapshot(zones=zones, cloth=cloth)
    after = snapshot(zones=zones, cloth=fabric(infusion=0.5, hand_layup=0.3), part={"process": "hand-layup"})
    after.materials["foam"] = type(after.materials["foam"]).model_validate(by_hand)  # type: ignore[index]
    bottom, side = compared(before, after).zones
    assert bottom.causes is None
    assert side.causes is not None
    assert sum(side.causes["mass_kg"].values()) == pytest.approx(2 * (0.6 / 0.3 - 0.6 / 0.5))


# Single edits


SANDWICH = (
    {"material": "cloth", "plies": 2},
    {"material": "foam", "thickness_mm": 15.0},
    {"material": "cloth", "plies": 2},
)
STIFFER = (
    {"material": "cloth", "plies": 2},
    {"material": "csm-300"},
    {"material": "foam", "thickness_mm": 20.0},
    {"material": "cloth", "plies": 2},
)


def test_each_edit_tells_its_mass_exactly() -> None:
    """5 mm of an 80 kg/m³ core is 0.4 kg/m²; 0.3 kg/m² of mat at its fraction for infusion is 0.3/ψ."""
    before, after = snapshot(SANDWICH, area_m2=2.0), snapshot(STIFFER, area_m2=2.0)
    zone = only(compared(before, after))
    psi = after.materials["csm-300"].fibre_mass_fraction["infusion"]  # type: ignore[union-attr]
    added, thicker = zone.edits
    assert (added.mark, added.row, thicker.mark, thicker.row) == ("added", 1, "altered", 2)
    assert thicker.before is not None
    assert thicker.before.thickness_mm == 15.0
    assert added.effects["mass_kg"] == pytest.approx(2.0 * 0.3 / psi)
    assert thicker.effects["mass_kg"] == pytest.approx(2.0 * 0.4)
    assert zone.edits_note is None


def test_stiffness_of_two_edits_is_the_mean_of_both_orders() -> None:
    """The four stacks are computed one by one, outside the machinery under test."""
    before, after = snapshot(SANDWICH), snapshot(STIFFER)
    zone = only(compared(before, after))
    half = (SANDWICH[0], STIFFER[1], *SANDWICH[1:]), (SANDWICH[0], STIFFER[2], SANDWICH[2])
    stacks = [case(s, using=before.materials) for s in (SANDWICH, *half, STIFFER)]
    for key in ("ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m"):
        none, mat, core, both = (getattr(f, key) for f in zone_figures(stacks))
        added, thicker = zone.edits
        assert added.effects[key] == pytest.approx((mat - none + both - core) / 2, rel=1e-9)
        assert thicker.effects[key] == pytest.approx((core - none + both - mat) / 2, rel=1e-9)


def test_a_moved_layer_weighs_nothing_but_stiffens() -> None:
    """A ply taken from beside the mid-plane to the outside: mass stays, EI grows."""
    cloth, mat = {"material": "cloth"}, {"material": "csm-300", "plies": 4}
    zone = only(compared(snapshot((mat, cloth, {**mat, "angle_deg": 0.0})), snapshot((cloth, mat, mat))))
    moved = [edit for edit in zone.edits if edit.mark == "moved"]
    assert len(moved) == len(zone.edits) == 1
    assert moved[0].effects["mass_kg"] == pytest.approx(0.0, abs=1e-12)
    delta = zone.figures["ei_x_kn_m2_per_m"].delta
    assert delta is not None
    assert delta > 0
    assert moved[0].effects["ei_x_kn_m2_per_m"] == pytest.approx(delta)


@pytest.mark.parametrize(("edits", "note"), [(8, None), (9, "more than 8 edits")])
def test_many_edits_share_the_stiffness_in_file_order_and_say_so(edits: int, note: str | None) -> None:
    before = snapshot([{"material": "cloth", "angle_deg": float(n)} for n in range(edits)])
    after = snapshot([{"material": "cloth", "angle_deg": float(n + 40)} for n in range(edits)])
    zone = only(compared(before, after))
    assert [edit.mark for edit in zone.edits] == ["altered"] * edits
    assert (zone.edits_note or "").startswith(note or "")
    assert (zone.edits_note is None) == (note is None)
    delta = zone.figures["ei_x_kn_m2_per_m"].delta
    assert sum(edit.effects["ei_x_kn_m2_per_m"] for edit in zone.edits) == pytest.approx(delta, rel=1e-9)
    if note:
        turned = [
            {"material": "cloth", "angle_deg": 40.0},
            *({"material": "cloth", "angle_deg": float(n)} for n in range(1, edits)),
        ]
        (first,) = zone_figures([case(turned, using=before.materials)])
        start = zone.figures["ei_x_kn_m2_per_m"].before
        assert start is not None
        assert first.ei_x_kn_m2_per_m is not None
        assert zone.edits[0].effects["ei_x_kn_m2_per_m"] == pytest.approx(
            first.ei_x_kn_m2_per_m - start, rel=1e-9
        )


def test_edits_beside_other_causes_still_add_up() -> None:
    cloth = fabric(infusion=0.5, hand_layup=0.4)
    lighter = {**cloth, "areal_mass_g_m2": 550}
    foam = {
        "surface_uptake_g_m2": {"infusion": 0, "hand-layup": 150},
        "perforation_uptake_g_m2_mm": {"infusion": 0, "hand-layup": 0},
    }
    sides = [
        snapshot(SANDWICH, cloth=cloth),
        snapshot(STIFFER, cloth=lighter, part={"process": "hand-layup"}),
    ]
    for side in sides:
        side.materials["foam"] = type(side.materials["foam"]).model_validate({**CORE, **foam})  # type: ignore[index]
    zone = only(compared(*sides))
    assert zone.causes is not None, zone.causes_note
    for key, shares in zone.causes.items():
        assert shares["layup"] != 0
        assert shares["process"] != 0
        assert shares["materials"] != 0
        assert sum(edit.effects[key] for edit in zone.edits) == pytest.approx(shares["layup"], rel=1e-9)


def test_nothing_is_told_when_nothing_is_asked() -> None:
    zone = only(compared(BEFORE, AFTER, with_causes=False))
    assert (zone.causes, zone.causes_note, zone.edits) == (None, None, ())
    zone = only(compared(BEFORE, AFTER, with_edits=False))
    assert zone.causes is not None
    assert zone.edits == ()
