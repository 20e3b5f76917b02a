"""A yard with one hull, and records in a few words."""

from dataclasses import replace
from datetime import date
from typing import Any

from pydantic import TypeAdapter

from recipe_track.recipe.craft import Hull
from recipe_track.recipe.records import Record
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.trail import Records
from tests.recipes import WORKED, read_recipe

RECORD: TypeAdapter[Any] = TypeAdapter(Record)
BASE = {"by": "Ada Quay <ada@quay.example>", "on": date(2026, 3, 1)}
TRIAL = {"kind": "trial", "hull": "014", "zone": "deck/side", "text": "moves", "observation": "too-flexible",
         "severity": 4}  # fmt: skip
CHANGE = {"kind": "change", "model": "demo", "title": "Stiffen", "reason": "too flexible", "category": "layup",
          "trials": ["T-000001"]}  # fmt: skip
APPROVED = {"kind": "decision", "about": "C-000001", "decision": "approved"}
DEVIATION = {
    "kind": "deviation",
    "type": "nonconformity",
    "hull": "014",
    "zone": "deck/side",
    "text": "short",
}


def record(day: int = 1, **keys: Any) -> Any:
    return RECORD.validate_python({**BASE, "on": date(2026, 3, day), **keys})


def yard() -> Snapshot:
    hull = {"model": "demo", "status": "in-build", "part": [
        {"part": "deck", "revision": "r1", "commit": "0" * 40, "state": "planned", "on": date(2026, 3, 1)}
    ]}  # fmt: skip
    return replace(read_recipe(WORKED), hulls={"014": Hull.model_validate(hull)})


def holding(yard: Snapshot, **records: Any) -> Snapshot:
    return replace(yard, records=Records({name.replace("_", "-"): r for name, r in records.items()}))
