"""The house layout of new files, and what cannot be written."""

from datetime import date, datetime
from typing import Any

import pytest

from recipe_track.errors import CallError
from recipe_track.textfiles.writing.render import to_toml

CHANGE = {
    "kind": "change",
    "on": date(2026, 4, 25),
    "reason": 'too "flexible"\nat deck \\ support',
    "replaces": None,
    "expected": {"mass_kg": 4.4, "zones": {"deck/deck-support": {"mass_kg": 4.4, "cost": 56.0}}},
    "trials": ("T-7K3QX2",),
    "measured": {"deflection_mm": 9.0, "force_kn": None, "side_mm": 100},
    "layers": [{"line": 4, "action": "left-out"}, {"line": 5, "action": "added"}],
    "hull_action": [{"hull": "014", "part": "deck"}, {"hull": "015", "part": "deck"}],
    "considered": {"options": []},
}
TEXT = '''\
#:schema ../../.schemas/record.schema.json
kind = "change"
on = 2026-04-25
reason = """
too \\"flexible\\"
at deck \\\\ support"""
trials = ["T-7K3QX2"]
measured = { deflection_mm = 9.0, side_mm = 100 }
layers = [
  { line = 4, action = "left-out" },
  { line = 5, action = "added" },
]

[expected]
mass_kg = 4.4

[expected.zones."deck/deck-support"]
mass_kg = 4.4
cost = 56.0

[[hull_action]]
hull = "014"
part = "deck"

[[hull_action]]
hull = "015"
part = "deck"

[considered]
options = []
'''


def test_a_new_file_has_the_house_layout() -> None:
    assert to_toml(CHANGE, "#:schema ../../.schemas/record.schema.json") == TEXT


@pytest.mark.parametrize("value", [float("nan"), float("inf"), "\udcff"])
def test_what_is_no_number_or_no_text_is_refused(value: Any) -> None:
    with pytest.raises(CallError):
        to_toml({"x": value})


@pytest.mark.parametrize("value", [datetime(2026, 1, 1), b"x", {1, 2}])
def test_a_value_of_another_sort_is_a_defect_of_the_caller(value: Any) -> None:
    with pytest.raises(TypeError):
        to_toml({"x": value})
