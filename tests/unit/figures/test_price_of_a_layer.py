"""Cost: material as bought, labour as laid, and the process."""

from typing import Any

import pytest

from recipe_track.figures.costs import process_cost
from recipe_track.figures.craft import figures_of
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.craft import Model, Price, Prices, Settings
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from tests.recipes import case, changed, figures, materials, part, zone

UNI = {"material": "uni-600"}


def prices(**of: dict[str, float]) -> Prices:
    named = {name.replace("_", "-"): keys for name, keys in of.items()}
    return Prices.model_validate({"currency": "EUR", "labour_per_hour": 60.0, "materials": named})


PRICES = prices(
    uni_600={"per_kg": 4.0, "labour_min_per_m2": 6.0},
    pvc_80={"per_m3": 1000.0, "labour_min_per_m2": 9.0},
    gelcoat={"per_kg": 6.0, "labour_min_per_m2": 3.0},
    vinylester={"per_kg": 5.0},
    bond_paste={"per_kg": 9.0, "labour_min_per_m": 4.0},
)


def test_material_is_bought_with_wastage_and_labour_laid_without() -> None:
    made = part(wastage_fraction={"reinforcement": 0.2, "resin": 0.1, "core": 0.5, "coating": 1.0})
    cost = figures(
        [
            {"material": "gelcoat", "thickness_mm": 0.6},
            UNI | {"plies": 2},
            {"material": "pvc-80", "thickness_mm": 20},
        ],
        of=made,
        prices=PRICES,
        area_m2=3.0,
        overlap_fraction=0.1,
    )
    fibre, resin = 3 * 1.1 * 2 * 0.6, 3 * 1.1 * 2 * 0.6 * 0.32 / 0.68 + 3 * 0.84
    assert cost.material_cost == pytest.approx(
        3 * 0.75 * 6 * 2.0 + fibre * 4 * 1.2 + resin * 5 * 1.1 + 3 * 0.02 * 1000 * 1.5
    )
    assert cost.labour_cost == pytest.approx(3 * 3 + 3 * 1.1 * 2 * 6 + 3 * 9)
    assert cost.cost == pytest.approx((cost.material_cost or 0) + (cost.labour_cost or 0))


LIQUID = {"wet_thickness_mm": 0.75, "cured_thickness_mm": 0.6, "liquid_density_kg_m3": 1150.0}


def test_a_coating_is_bought_as_it_goes_on_the_gun_and_weighs_what_stays() -> None:
    """0.5 mm cured of 0.6 mm out of 0.75 mm wet, at 1150 kg/m³, on two thirds of 3 m², a fifth lost."""
    made, using = part(wastage_fraction={"coating": 0.2}), changed(materials(), "gelcoat", **LIQUID)
    layup = [{"material": "gelcoat", "thickness_mm": 0.5, "coverage_fraction": 2 / 3}]
    found = figures(layup, of=made, prices=PRICES, area_m2=3.0, using=using)
    assert found.material_cost == pytest.approx(2.0 * 0.5e-3 * 0.75 / 0.6 * 1150 * 1.2 * 6)
    assert found.mass_kg == pytest.approx(2.0 * 0.5e-3 * 1250)
    cured = figures(layup, of=made, prices=PRICES, area_m2=3.0)
    assert cured.material_cost == pytest.approx(2.0 * 0.5e-3 * 1250 * 1.2 * 6)


@pytest.mark.parametrize(
    ("price", "core_cost"), [({"per_m3": 1000.0}, 20.0), ({"per_m2": 15.0}, 15.0), ({"per_kg": 12.0}, 19.2)]
)
def test_a_core_may_be_priced_by_volume_area_or_mass(price: dict[str, float], core_cost: float) -> None:
    listed = prices(pvc_80=price, uni_600={"per_m2": 2.0}, vinylester={"per_kg": 0.0})
    cost = figures([UNI, {"material": "pvc-80", "thickness_mm": 20}], prices=listed)
    assert cost.material_cost == pytest.approx(core_cost + 2.0)


def test_a_fabric_priced_by_area_counts_plies_overlap_and_coverage() -> None:
    listed = prices(uni_600={"per_m2": 2.0}, vinylester={"per_kg": 0.0})
    cost = figures(
        [UNI, UNI | {"plies": 3, "coverage_fraction": 0.5}], prices=listed, area_m2=4.0, overlap_fraction=0.25
    )
    assert cost.material_cost == pytest.approx(4 * 1.25 * (1 + 1.5) * 2)


def test_a_joint_costs_paste_and_minutes_per_metre() -> None:
    cost = figures([], form="joint", length_m=6.0, paste="bond-paste", kg_per_m=0.8, prices=PRICES)
    assert (cost.material_cost, cost.labour_cost) == pytest.approx((4.8 * 9, 6 * 4))


def test_a_former_costs_by_its_volume() -> None:
    cost = figures(
        [UNI], form="stiffener", length_m=3.0, girth_mm=200, prices=PRICES,
        former={"material": "pvc-80", "section_mm2": 5000},
    )  # fmt: skip
    assert cost.material_cost == pytest.approx(
        0.6 * 0.6 * 4 + 0.6 * 0.6 * 0.32 / 0.68 * 5 + 3 * 5000e-6 * 1000
    )


def test_without_a_price_list_nothing_is_known_about_cost() -> None:
    cost = figures([UNI])
    assert (cost.material_cost, cost.labour_cost, cost.cost) == (None, None, None)


@pytest.mark.parametrize("missing", ["uni-600", "vinylester"])
def test_a_used_material_without_a_price_is_named(missing: str) -> None:
    kept = {name: price for name, price in PRICES.materials.items() if name != missing}
    with pytest.raises(NotComputable, match=f"hull/bottom: no price of `{missing}`"):
        zone_figures([case([UNI], prices=PRICES.model_copy(update={"materials": kept}))])


def snapshot(made: dict[str, Any], price_list: Prices | None = PRICES) -> Snapshot:
    zones = {
        "bottom": zone([UNI], area_m2=3.0),
        "keel": zone([UNI], form="stiffener", length_m=2.0, girth_mm=500),
        "flange": zone([], form="joint", length_m=6.0, paste="bond-paste", kg_per_m=0.8),
    }
    tree = ModelTree("m", Model(origin="here"), {"hull": PartTree("hull", part(**made), zones)})
    return Snapshot(Settings(format=1), materials(), price_list, {"m": tree})


def test_a_part_adds_consumables_set_up_and_the_resin_in_its_lines() -> None:
    made = {"consumables_per_m2": 12.0, "setup_hours": 3.0, "line_resin_kg": 2.0}
    hull = figures_of(snapshot(made), "m").parts[0]
    assert hull.process_cost == pytest.approx((3 + 1) * 12 + 3 * 60 + 2 * 5)
    assert hull.cost == pytest.approx(
        sum(c or 0 for c in (hull.material_cost, hull.labour_cost, hull.process_cost))
    )


def test_line_resin_is_priced_per_kg_or_named() -> None:
    by_area = Price(per_m2=3.0)
    listed = PRICES.model_copy(update={"materials": {**PRICES.materials, "vinylester": by_area}})
    with pytest.raises(NotComputable, match="`vinylester` is not priced per kg"):
        process_cost(part(line_resin_kg=2.0), 4.0, listed)


@pytest.mark.parametrize(("price", "says"), [({"per_m2": 3.0}, "no area"), ({"per_m3": 3.0}, "no volume")])
def test_a_price_by_a_measure_that_is_not_there_is_refused(price: dict[str, float], says: str) -> None:
    listed = prices(uni_600={"per_kg": 4.0}, vinylester=price)
    with pytest.raises(NotComputable, match=f"`vinylester` is priced per .* but has {says} here"):
        figures([UNI], prices=listed)


def test_costs_of_craft_and_parts_are_unknown_without_prices() -> None:
    found = figures_of(snapshot({}, None), "m")
    assert (found.currency, found.parts[0].cost, found.craft.cost) == (None, None, None)
