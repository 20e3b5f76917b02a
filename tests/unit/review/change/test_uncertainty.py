"""A comparison says where a delta drowns in the tolerances of the materials."""

from dataclasses import replace

from recipe_track.figures.craft import figures_of
from recipe_track.impact.comparing import compare_models
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.review.change.uncertainty import model_deviations, uncertainties_of
from tests.recipes import WORKED, read_recipe


def uncertain() -> Snapshot:
    """The worked recipe with a mat of uncertain areal mass."""
    recipe = read_recipe(WORKED)
    mat = recipe.materials["csm-300"].model_copy(update={"areal_mass_tolerance_fraction": 0.10})
    return replace(recipe, materials={**recipe.materials, "csm-300": mat})


def thinner_gelcoat(recipe: Snapshot, thickness_mm: float, plies: int = 1) -> Snapshot:
    """The side deck with another gelcoat and so many mats."""
    tree = recipe.models["demo"]
    part = tree.parts["deck"]
    side = part.zones["side"]
    layup = (
        side.layup[0].model_copy(update={"thickness_mm": thickness_mm}),
        side.layup[1].model_copy(update={"plies": plies}),
        *side.layup[2:],
    )
    zones = {**part.zones, "side": side.model_copy(update={"layup": layup})}
    return replace(recipe, models={"demo": replace(tree, parts={"deck": replace(part, zones=zones)})})


def spreads(before: Snapshot, after: Snapshot):  # type: ignore[no-untyped-def]
    impact = compare_models(before, after, "demo", figures_of(before, "demo"), figures_of(after, "demo"))
    return uncertainties_of(before, after, impact), impact


def test_what_both_sides_share_cancels() -> None:
    before = uncertain()
    found, _ = spreads(before, thinner_gelcoat(before, 0.5))
    assert found.zones["deck/side"].insignificant == ()
    assert found.zones["deck/side"].deviations.get("mass_kg", 0.0) < 1e-9


def test_an_added_mat_brings_its_own_spread() -> None:
    before = uncertain()
    found, impact = spreads(before, thinner_gelcoat(before, 0.6, plies=2))
    delta = next(z for z in impact.zones if z.zone == "deck/side").figures["mass_kg"].delta
    # One mat more: its fibre, and with it its resin, spread by 10 % of the whole added mass.
    assert abs(found.zones["deck/side"].deviations["mass_kg"] - 0.10 * delta) < 1e-6 * delta
    assert found.zones["deck/side"].insignificant == ()
    assert found.craft.deviations["mass_kg"] == found.zones["deck/side"].deviations["mass_kg"]


def test_a_delta_smaller_than_its_spread_is_named() -> None:
    before = uncertain()
    # A mat more (about +2.5 kg, ±10 %) and almost as much gelcoat less: the mass barely changes.
    after = thinner_gelcoat(before, 0.6, plies=2)
    _, impact = spreads(before, after)
    added = next(z for z in impact.zones if z.zone == "deck/side").figures["mass_kg"].delta
    per_mm = 2.4 * 1.25
    found, again = spreads(
        thinner_gelcoat(before, 2.0), thinner_gelcoat(before, 2.0 - 0.98 * added / per_mm, plies=2)
    )
    delta = next(z for z in again.zones if z.zone == "deck/side").figures["mass_kg"].delta
    assert 0 < delta < found.zones["deck/side"].deviations["mass_kg"]
    assert "mass_kg" in found.zones["deck/side"].insignificant


def test_every_zone_part_and_the_craft_has_its_deviations() -> None:
    found = model_deviations(uncertain(), "demo")
    assert set(found) == {"deck/side", "deck/coaming", "deck", "craft"}
    assert found["craft"]["mass_kg"] > found["deck/side"]["mass_kg"] > 0


def test_without_tolerances_there_is_no_spread() -> None:
    recipe = read_recipe(WORKED)
    found, _ = spreads(recipe, thinner_gelcoat(recipe, 0.5))
    assert found.zones["deck/side"].deviations == {}
