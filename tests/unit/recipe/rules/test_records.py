"""Rules of the records: each is about something."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from recipe_track.recipe import rules
from recipe_track.recipe.craft import Hull
from recipe_track.recipe.snapshot import Snapshot
from tests.unit.recipe.rules.provoking import faults
from tests.unit.recipe.yard import APPROVED, CHANGE, DEVIATION, TRIAL, holding, record


def keys(snapshot: Snapshot) -> set[tuple[str | int, ...]]:
    return {fault.key for fault in rules.check(snapshot)}


def test_consistent_records_have_no_fault(yard: Snapshot) -> None:
    whole = holding(yard, T_000001=record(**TRIAL), C_000001=record(**CHANGE), D_000001=record(**APPROVED))
    assert keys(whole) == set()


@pytest.mark.parametrize(
    ("values", "key"),
    [
        ({**TRIAL, "hull": "015"}, ("hull",)),
        ({**TRIAL, "zone": "deck/sid"}, ("zone",)),
        ({**CHANGE, "model": "dem", "trials": []}, ("model",)),
        (CHANGE, ("trials", 0)),
        (APPROVED, ("about",)),
        ({**DEVIATION, "hull": "015"}, ("hull",)),
        ({**DEVIATION, "layers": [{"line": 1, "material": "biax", "action": "left-out"}]}, ("layers", 0, "material")),
        ({**DEVIATION, "layers": [{"line": 1, "material": "wr-600", "action": "substituted"}]}, ("layers", 0, "action")),
        ({"kind": "verification", "about": "C-00000Z", "hull": "014", "outcome": "confirmed"}, ("about",)),
        ({"kind": "weighing", "hull": "014", "part": "hull", "mass_kg": 9.0, "state": "trimmed"}, ("part",)),
        ({"kind": "weighing", "hull": "014", "part": "deck", "mass_kg": 9.0, "state": "trimmed", "tare_kg": 10.0},
         ("tare_kg",)),
        ({**TRIAL, "replaces": "T-00000Z"}, ("replaces",)),
    ],
)  # fmt: skip
def test_a_record_is_about_something(yard: Snapshot, values: dict[str, Any], key: tuple[Any, ...]) -> None:
    assert keys(holding(yard, X_000001=record(**values))) == {key}


def test_a_decision_fits_what_it_is_about(yard: Snapshot) -> None:
    wrong = record(kind="decision", about="T-000001", decision="approved")
    assert keys(holding(yard, T_000001=record(**TRIAL), D_000001=wrong)) == {("decision",)}


def test_zone_names_of_the_past_are_known(yard: Snapshot) -> None:
    old = replace(yard, past_zones={"demo": frozenset({"deck/gone"})})
    assert keys(holding(old, T_000001=record(**{**TRIAL, "zone": "deck/gone"}))) == set()


def test_a_hull_is_of_a_model_and_names_a_part_once(snapshot: Snapshot) -> None:
    part = {"part": "deck", "revision": "r1", "commit": "0" * 40, "state": "planned", "on": date(2026, 3, 1)}
    hull = Hull.model_validate({"model": "dem", "status": "planned", "part": [part, part]})
    found = {f.key for f in faults(replace(snapshot, hulls={"014": hull}))}
    assert found == {("model",), ("part", 1, "part")}
