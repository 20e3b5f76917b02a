"""All rules together: a sound recipe has no fault, and notes are none."""

from recipe_track.recipe import rules
from recipe_track.recipe.snapshot import Snapshot
from tests.unit.recipe.rules.provoking import faults, with_material


def test_the_worked_recipe_has_no_fault(snapshot: Snapshot) -> None:
    assert faults(snapshot) == []


def test_notes_are_not_faults(snapshot: Snapshot) -> None:
    stiff = with_material(snapshot, "csm-300", stiffness_factor=1.0)
    assert faults(stiff) == []
    assert [f.file for f in rules.notes(stiff)] == ["materials/csm-300.toml"]
