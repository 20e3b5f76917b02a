"""A yard with one hull, and records in a few words."""

from dataclasses import replace
from datetime import date
from typing import Any

from pydantic import TypeAdapter

from recipe_track.recipe.craft import Hull
from recipe_track.recipe.ledger import Records
from recipe_track.recipe.records import Record
from recipe_track.recipe.snapshot import Snapshot
from tests.recipes import WORKED, read_recipe

RECORD: TypeAdapter[Any] = TypeAdapter(Record)
BASE = {"by": "Ada Quay <ada@quay.example>", "on": date(2026, 3, 1)}
TRIAL = {"kind": "trial", "hull": "014", "zone": "deck/side", "text": "moves", "observation": "too-flexible",
         "severity": 4}  # fmt: skip
CHANGE = {"kind": "change", "model": "demo", "title": "Stiffen", "reason": "too flexible", "category": "layup",
          "trials": ["T-000001"]}  # fmt: skip
APPROVED = {"kind": "decision", "about": "C-000001", "decision": "approved", "decides": "c" * 40}
DEVIATION = {
    "kind": "deviation",
    "type": "nonconformity",
    "hull": "014",
    "zone": "deck/side",
    "text": "short",
}
STEP = {
    "kind": "step",
    "hull": "014",
    "part": "deck",
    "state": "planned",
    "revision": "r1",
    "commit": "0" * 40,
}
ACTION = {"kind": "action", "about": "N-000001", "cause": "slipped tape", "done": "laid anew"}


def record(day: int = 1, **keys: Any) -> Any:
    return RECORD.validate_python({**BASE, "on": date(2026, 3, day), **keys})


def yard() -> Snapshot:
    """Hull 014 with its deck planned to r1."""
    hull = Hull.model_validate({"model": "demo", "first_release": "r1"})
    return holding(replace(read_recipe(WORKED), hulls={"014": hull}))


def holding(yard: Snapshot, **records: Any) -> Snapshot:
    """The yard with just these records, and the step that plans the deck of hull 014."""
    given = {name.replace("_", "-"): r for name, r in records.items()}
    return replace(yard, records=Records({"H-000001": record(**STEP), **given}))
