"""What a step does to required minima: broken, re-based, eased, and through renames."""

from dataclasses import replace
from typing import Any

import pytest

from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.craft import Model, Settings
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from recipe_track.review.change.minima import Known, concerns, shortfalls
from tests.recipes import case, changed, materials, part, zone

LAYUP = [
    {"material": "biax-800", "plies": 2},
    {"material": "pvc-80", "thickness_mm": 20},
    {"material": "biax-800"},
]
REQUIRED = {"source": "SC-1", "core_thickness_mm_min": 15.0}


def snapshot(**zones: Zone) -> Snapshot:
    model = Model(origin="transom")
    tree = ModelTree("m", model, {"deck": PartTree("deck", part(), zones)})
    return Snapshot(Settings(format=1), materials(), None, {"m": tree})


def side(thickness: float = 20, required: dict[str, Any] | None = REQUIRED, **keys: Any) -> Zone:
    layup = [LAYUP[0], {**LAYUP[1], "thickness_mm": thickness}, LAYUP[2]]
    return zone(layup, required=required, **keys)


def kinds(before: Snapshot | None, after: Snapshot) -> list[tuple[str, str, str]]:
    return [(c.kind, c.zone, c.key) for c in concerns(before, after, "m")]


def test_nothing_to_say_of_a_step_that_keeps_its_minima() -> None:
    assert kinds(snapshot(side=side()), snapshot(side=side(25))) == []


def test_a_minimum_is_broken_once() -> None:
    broken = snapshot(side=side(12))
    assert kinds(snapshot(side=side()), broken) == [("broken", "deck/side", "core_thickness_mm_min")]
    assert kinds(broken, snapshot(side=side(11.9))) == []
    assert kinds(None, broken) == [("broken", "deck/side", "core_thickness_mm_min")]
    assert list(shortfalls(broken, "m")) == ["deck/side"]


def test_a_broken_minimum_that_gets_worse_by_more_than_one_in_a_hundred_is_told_again() -> None:
    (worse,) = concerns(snapshot(side=side(12)), snapshot(side=side(10)), "m")
    assert (worse.kind, worse.key) == ("broken", "core_thickness_mm_min")
    assert worse.text == "required core_thickness_mm_min 15 is not met: 10; it was 12"
    assert kinds(snapshot(side=side(10)), snapshot(side=side(12))) == []


def pressed(kpa: float, **keys: Any) -> Zone:
    panel = {"span_mm": 450, "length_mm": 900, "edges": "clamped", "pressure_kpa": kpa}
    return side(panel=panel, **keys)


def use_of(kpa: float) -> float:
    figures = zone_figures([case(list(LAYUP), panel=pressed(kpa).panel)])[0]
    assert figures.strain_use is not None
    return figures.strain_use


def test_a_use_above_1_is_told_with_what_governs_it_whether_or_not_a_limit_is_typed() -> None:
    at_1 = 18.0 / use_of(18.0)
    before, after = (snapshot(side=pressed(kpa, required=None)) for kpa in (0.9 * at_1, 1.1 * at_1))
    (found,) = concerns(before, after, "m")
    assert (found.kind, found.zone, found.key) == ("exceeded", "deck/side", "strain_use")
    assert found.text.startswith("strain_use 1.1 is above 1: pressure on the ")
    assert "layer 3 biax-800" in found.text or "layer 1 biax-800" in found.text
    assert found.value == pytest.approx(1.1)
    assert [c.key for c in concerns(None, after, "m")] == ["strain_use"]


def test_a_use_above_1_asks_again_only_where_it_grows_by_more_than_one_in_a_hundred() -> None:
    at_1 = 18.0 / use_of(18.0)
    over, little, more, less = (
        snapshot(side=pressed(times * at_1, required=None)) for times in (1.1, 1.105, 1.2, 1.05)
    )
    assert kinds(over, little) == []
    assert kinds(over, less) == []
    assert kinds(less, over) == [("exceeded", "deck/side", "strain_use")]
    (found,) = concerns(over, more, "m")
    assert found.text.endswith("; it was 1.1")


def test_a_raised_limit_that_is_not_met_is_broken_too() -> None:
    raised = side(20, {**REQUIRED, "core_thickness_mm_min": 25.0})
    assert kinds(snapshot(side=side()), snapshot(side=raised)) == [
        ("broken", "deck/side", "core_thickness_mm_min")
    ]


@pytest.mark.parametrize("required", [None, {"source": "SC-2"}, {**REQUIRED, "core_thickness_mm_min": 10.0}])
def test_an_eased_or_dropped_limit_is_told(required: dict[str, Any] | None) -> None:
    found = kinds(snapshot(side=side()), snapshot(side=side(required=required)))
    assert found == [("eased", "deck/side", "core_thickness_mm_min")]


def test_a_tightened_upper_limit_is_not_eased() -> None:
    loose = side(required={"source": "SC-1", "deflection_mm_max": 9.0})
    tight = side(required={"source": "SC-1", "deflection_mm_max": 8.0})
    assert kinds(snapshot(side=loose), snapshot(side=tight)) == []
    assert kinds(snapshot(side=tight), snapshot(side=loose)) == [("eased", "deck/side", "deflection_mm_max")]


def test_changed_data_of_a_core_rebases_every_zone_that_uses_it() -> None:
    before = snapshot(side=side(), walk=side())
    after = replace(before, materials=changed(materials(), "pvc-80", g_mpa=31.0))
    assert kinds(before, after) == [
        ("re-based", "deck/side", "core pvc-80"), ("re-based", "deck/walk", "core pvc-80"),
    ]  # fmt: skip
    bare = snapshot(side=side(required=None))
    assert kinds(bare, replace(bare, materials=after.materials)) == []


def test_minima_follow_a_rename_and_a_split() -> None:
    before = snapshot(side=side(12))
    renamed = snapshot(walk=side(12, formerly=("deck/side",)))
    assert kinds(before, renamed) == []
    split = snapshot(fore=side(12, formerly=("deck/side",)), aft=side(12, None, formerly=("deck/side",)))
    assert kinds(before, split) == [("eased", "deck/aft", "core_thickness_mm_min")]


def test_minima_follow_a_rename_that_is_taken_back() -> None:
    renamed, back = snapshot(walk=side(12, formerly=("deck/side",))), snapshot(side=side(12, required=None))
    assert kinds(renamed, back) == [("eased", "deck/side", "core_thickness_mm_min")]


def girder(material: str = "uni-carbon") -> Zone:
    """A hat on `deck/side` that needs the stiffness it has with that."""
    shape = {"crown_mm": 60, "height_mm": 80, "base_mm": 90, "flange_mm": 50}
    return zone(
        [{"material": material, "plies": 4}], form="stiffener", length_m=2.0, section=shape,
        attached="deck/side", attached_axis="x", effective_width_mm=300,
        required={"source": "SC-3", "ei_stiffener_kn_m2_min": 75.0},
    )  # fmt: skip


def test_a_stiffener_is_held_with_the_plating_that_it_stands_on() -> None:
    """Alone it would not do; thinner plating breaks its minimum, though its own file stays."""
    stiff, soft = snapshot(side=side(40), girder=girder()), snapshot(side=side(6), girder=girder())
    assert shortfalls(stiff, "m") == {}
    assert ("broken", "deck/girder", "ei_stiffener_kn_m2_min") in kinds(stiff, soft)
    alone = girder().model_copy(update={"attached": None})
    assert list(shortfalls(snapshot(side=side(40), girder=alone), "m")) == ["deck/girder"]


def test_plating_that_changed_is_looked_at_again() -> None:
    known = Known()
    same = girder()
    stiff, soft = snapshot(side=side(40), girder=same), snapshot(side=side(6), girder=same)
    assert concerns(None, stiff, "m", known) == ()
    assert [c.zone for c in concerns(None, soft, "m", known)] == ["deck/girder", "deck/side"]


def test_zones_met_before_are_not_computed_again(monkeypatch: pytest.MonkeyPatch) -> None:
    from recipe_track.review.change import minima

    computed: list[int] = []
    real = minima.zone_figures
    monkeypatch.setattr(
        minima, "zone_figures", lambda cases, *kept: (computed.append(len(cases)), real(cases, *kept))[1]
    )
    first, second = side(), side()
    known = minima.Known()
    before = snapshot(side=first, walk=second)
    concerns(None, before, "m", known)
    part_tree = before.models["m"].parts["deck"]
    after = replace(
        before,
        models={"m": ModelTree("m", before.models["m"].model, {
            "deck": replace(part_tree, zones={"side": first, "walk": side(25)})
        })},
    )  # fmt: skip
    concerns(before, after, "m", known)
    assert sum(computed) == 3


def test_a_process_and_a_material_that_keep_every_fibre_rebase_the_minima() -> None:
    """From infusion to hand lay-up, a biax for a mat of equal fibre mass: nothing is broken, all is other."""
    fibre = {"source": "SC-1", "fibre_kg_m2_min": 1.0}
    zoned = snapshot(side=side(required=fibre))
    tree = zoned.models["m"]
    by_hand = PartTree("deck", part(process="hand-layup"), tree.parts["deck"].zones)
    assert kinds(zoned, replace(zoned, models={"m": replace(tree, parts={"deck": by_hand})})) == [
        ("re-based", "deck/side", "process")
    ]
    other = zone([{**LAYUP[0], "material": "biax-090"}, *LAYUP[1:]], required=fibre)
    assert kinds(zoned, snapshot(side=other)) == [("re-based", "deck/side", "biax-800 (now biax-090)")]


def test_a_stiffener_is_looked_at_where_what_it_stands_on_changes() -> None:
    """Revisions of one reading share what did not change: the girder is the same object on both sides."""
    girder = Zone.model_validate(
        {
            "form": "stiffener", "length_m": 4.0, "girth_mm": 300, "centroid_m": (0.0, 0.0, 0.0),
            "former": {"material": "pvc-80", "section_mm2": 4800, "height_mm": 80}, "attached": "deck/side",
            "effective_width_mm": 300, "layup": (LAYUP[0],), "required": {"ei_stiffener_kn_m2_min": 1.0},
        }
    )  # fmt: skip
    before = snapshot(side=side(), girder=girder)
    tree = before.models["m"]
    zones = {"side": side(25), "girder": girder}
    after = replace(
        before, models={"m": replace(tree, parts={"deck": replace(tree.parts["deck"], zones=zones)})}
    )
    assert ("re-based", "deck/girder", "layup of deck/side") in kinds(before, after)
