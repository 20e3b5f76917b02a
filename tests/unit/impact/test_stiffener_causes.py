"""Why the stiffness of a stiffener changed: its own layers, its section, what it stands on."""

from typing import Any

import pytest

from recipe_track.figures.craft import figures_of
from recipe_track.impact.effects import ZoneImpact
from recipe_track.present.words.causes import cause_list
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.snapshot import Snapshot
from tests.recipes import zone
from tests.unit.impact.yard import compared, fabric, snapshot

SHAPE = {"crown_mm": 60.0, "height_mm": 80.0, "base_mm": 90.0, "flange_mm": 50.0}
BEAM = {"span_mm": 1200.0, "load_width_mm": 450.0, "pressure_kpa": 18.0, "ends": "clamped"}
PLIES = [{"material": "cloth", "plies": 2}]
CAP = [*PLIES, {"material": "uni-carbon", "plies": 3, "on": "crown"}]


def girder(layup: list[dict[str, Any]] = PLIES, **keys: Any) -> Zone:
    given: dict[str, Any] = {
        "form": "stiffener", "length_m": 2.0, "section": SHAPE, "beam": BEAM, "attached": "hull/bottom",
        "attached_axis": "x", "effective_width_mm": 300.0,
    }  # fmt: skip
    return zone(layup, **{**given, **keys})


def craft(stiff: Zone, plate: list[dict[str, Any]] = PLIES, **keys: Any) -> Snapshot:
    return snapshot(zones={"bottom": zone(plate), "girder": stiff}, **{"cloth": fabric(infusion=0.5), **keys})


def of(before: Snapshot, after: Snapshot) -> ZoneImpact:
    return next(z for z in compared(before, after).zones if z.zone == "hull/girder")


def causes(found: ZoneImpact, key: str) -> dict[str, float]:
    assert found.causes is not None, found.causes_note
    shares = {cause: share for cause, share in found.causes[key].items() if share}
    assert sum(shares.values()) == pytest.approx(found.figures[key].delta, rel=1e-9)
    return shares


KEYS = ("ei_stiffener_kn_m2", "beam_deflection_mm")


def test_a_carbon_crown_is_more_than_weight() -> None:
    found = of(craft(girder()), craft(girder(CAP)))
    for key, better in zip(KEYS, (1, -1), strict=True):
        shares = causes(found, key)
        assert set(shares) == {"layup"}
        assert better * shares["layup"] > 0
        (edit,) = found.edits
        assert edit.effects[key] == pytest.approx(shares["layup"])
    (row,) = [row for row in found.layers if row.mark == "added"]
    assert row.after is not None
    assert row.after.on == "crown"


@pytest.mark.parametrize("key", KEYS)
def test_what_it_stands_on_and_its_section_are_geometry(key: str) -> None:
    taller = girder(section={**SHAPE, "height_mm": 100.0})
    for after in (craft(girder(), [{"material": "cloth", "plies": 6}]), craft(taller)):
        found = of(craft(girder()), after)
        shares = causes(found, key)
        assert set(shares) == {"geometry"}
        assert cause_list(key, found.causes[key]).startswith("section or plating")  # type: ignore[index]


@pytest.mark.parametrize("key", KEYS)
def test_material_and_process_of_the_plating_count_as_such(key: str) -> None:
    """The girder itself is of another fabric, which stays."""
    own = girder([{"material": "uni-carbon"}])
    cloth = fabric(infusion=0.5, vacuum_bag=0.6)
    before = craft(own, cloth=cloth)
    assert set(causes(of(before, craft(own, cloth=fabric(infusion=0.6))), key)) == {"materials"}
    pressed = craft(own, cloth=cloth, part={"process": "vacuum-bag"})
    assert set(causes(of(before, pressed), key)) == {"process"}


@pytest.mark.parametrize("key", KEYS)
def test_all_at_once_adds_up(key: str) -> None:
    before = craft(girder(), cloth=fabric(infusion=0.5, vacuum_bag=0.6))
    after = craft(
        girder(CAP, section={**SHAPE, "crown_mm": 70.0}), [{"material": "cloth", "plies": 3}],
        cloth=fabric(infusion=0.55, vacuum_bag=0.65), part={"process": "vacuum-bag"},
    )  # fmt: skip
    assert set(causes(of(before, after), key)) == {"layup", "geometry", "materials", "process"}


@pytest.mark.parametrize("key", KEYS)
def test_a_cap_and_thicker_plating_share_by_what_each_adds_first_and_last(key: str) -> None:
    """Half of v(cap) − v(none) and half of v(both) − v(plating), each v a recipe of its own."""
    thick = [{"material": "cloth", "plies": 8}]
    none, cap, plating, both = (
        value(craft(stiff, plate), key)
        for plate in (PLIES, thick)
        for stiff in (girder(), girder(CAP))
    )  # fmt: skip
    shares = causes(of(craft(girder()), craft(girder(CAP), thick)), key)
    assert shares["layup"] == pytest.approx(((cap - none) + (both - plating)) / 2, rel=1e-9)
    assert abs(cap - none) > 1.01 * abs(both - plating) or abs(both - plating) > 1.01 * abs(cap - none)


def value(of_craft: Snapshot, key: str) -> float:
    found = next(z for z in figures_of(of_craft, "craft").zones if z.zone == "hull/girder")
    return float(getattr(found, key))


def test_a_section_stated_at_last_leaves_the_other_causes_told() -> None:
    """Before, nothing tells where a crown lies; the mixes still have a weight."""
    before = girder(section=None, girth_mm=330.0, beam=None)
    found = of(craft(before), craft(girder(CAP)))
    assert found.causes is not None, found.causes_note
    assert set(found.causes) == {"mass_kg"}
    assert sum(found.causes["mass_kg"].values()) == pytest.approx(found.figures["mass_kg"].delta)
