"""What a step does to required minima: broken, re-based, eased, and through renames."""

from dataclasses import replace
from typing import Any

import pytest

from recipe_track.recipe.craft import Model, Settings
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from recipe_track.review.change.minima import concerns, unmet
from tests.recipes import changed, materials, part, zone

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
    assert kinds(broken, snapshot(side=side(10))) == []
    assert kinds(None, broken) == [("broken", "deck/side", "core_thickness_mm_min")]
    assert list(unmet(broken, "m")) == ["deck/side"]


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


def test_zones_met_before_are_not_computed_again(monkeypatch: pytest.MonkeyPatch) -> None:
    from recipe_track.review.change import minima

    computed: list[int] = []
    real = minima.zone_figures
    monkeypatch.setattr(
        minima, "zone_figures", lambda cases, plies: (computed.append(len(cases)), real(cases, plies))[1]
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
