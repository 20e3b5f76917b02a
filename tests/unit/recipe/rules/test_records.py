"""Rules of the records: each is about something."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from recipe_track.errors import Fault
from recipe_track.recipe import rules
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.trail.edits import is_governed
from tests.unit.recipe.yard import ACTION, APPROVED, CHANGE, DEVIATION, TRIAL, holding, record

OTHER = {**TRIAL, "zone": "deck/coaming"}
VERIFIED = {"kind": "verification", "about": "C-000001", "hull": "014", "outcome": "confirmed"}
WEIGHED = {"kind": "weighing", "hull": "014", "part": "deck", "mass_kg": 9.0, "state": "trimmed"}
REVERIFIED = {"document": "SC-1", "body": "Registry", "by": "B <b@x.example>", "on": date(2026, 3, 1)}
EDIT = {"path": "models/demo/deck/side.toml", "before": "a" * 40, "after": "b" * 40}


def faults(snapshot: Snapshot) -> list[Fault]:
    return list(rules.check(snapshot))


def keys(snapshot: Snapshot) -> set[tuple[str | int, ...]]:
    return {fault.key for fault in faults(snapshot)}


def decision(about: str, word: str, **values: Any) -> dict[str, Any]:
    return {"kind": "decision", "about": about, "decision": word, **values}


@pytest.fixture
def filled(yard: Snapshot) -> Snapshot:
    """A yard with a record of every kind that others can be about."""
    return holding(
        yard, T_000001=record(**TRIAL), T_000002=record(**OTHER), C_000001=record(**CHANGE),
        N_000001=record(**DEVIATION), V_000001=record(**VERIFIED), W_000001=record(**WEIGHED),
        A_000001=record(**ACTION),
    )  # fmt: skip


def among(filled: Snapshot, **values: Any) -> set[tuple[str | int, ...]]:
    """The keys at fault once one more record is there."""
    more = filled.records.joined({"X-000001": record(**values)})
    return keys(replace(filled, records=more))


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
        ({**CHANGE, "trials": [], "answers": ["N-00000Z"]}, ("answers", 0)),
        ({**CHANGE, "trials": [], "model": None, "edit": [EDIT]}, ("model",)),
        ({**CHANGE, "trials": [], "edit": [{**EDIT, "path": "hulls/014.toml"}]}, ("edit", 0, "path")),
        ({**CHANGE, "trials": [], "edit": [{**EDIT, "after": EDIT["before"]}]}, ("edit", 0)),
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


@pytest.mark.parametrize(
    "values",
    [
        decision("C-000001", "rejected", decides="c" * 40),
        decision("T-000001", "left-as-is"),
        decision("T-000001", "same-as", same_as="T-000002"),
        decision("N-000001", "accepted", reverification=REVERIFIED),
        decision("W-000001", "as-written", decides="c" * 40),
        {**ACTION, "about": "T-000001"},
        {**ACTION, "about": "release-moved demo/r3", "document": "SC-2", "body": "Registry"},
        {**CHANGE, "answers": ["N-000001", "V-000001"], "edit": [EDIT, {**EDIT, "before": ""}]},
        {**CHANGE, "model": None, "edit": [{**EDIT, "path": "prices.toml"}]},
        {**TRIAL, "attachments": [{"path": "photos/a..b/x.jpg", "sha256": "0" * 64}]},
    ],
)  # fmt: skip
def test_what_can_be_said_is_no_fault(filled: Snapshot, values: dict[str, Any]) -> None:
    assert among(filled, **values) == set()


@pytest.mark.parametrize(
    ("values", "key"),
    [
        (decision("T-000001", "approved"), ("decision",)),
        (decision("N-000001", "contained"), ("decision",)),
        (decision("W-000001", "accepted"), ("decision",)),
        (decision("C-000001", "approved"), ("decides",)),
        (decision("C-000001", "approved", decides=""), ("decides",)),
        (decision("W-000001", "as-written"), ("decides",)),
        (decision("T-000001", "same-as"), ("decision",)),
        (decision("T-000001", "left-as-is", same_as="T-000002"), ("decision",)),
        (decision("T-000001", "same-as", same_as="T-00000Z"), ("same_as",)),
        (decision("T-000001", "same-as", same_as="T-000001"), ("same_as",)),
        (decision("T-000001", "rework", reverification=REVERIFIED), ("reverification",)),
        (decision("T-000001", "rework", hull_action=[{"hull": "014", "part": "deck", "action": "rework"}]),
         ("hull_action",)),
    ],
)  # fmt: skip
def test_a_decision_fits_what_it_is_about(
    filled: Snapshot, values: dict[str, Any], key: tuple[Any, ...]
) -> None:
    assert among(filled, **values) == {key}


@pytest.mark.parametrize(
    ("values", "key"),
    [
        ({**ACTION, "about": "N-00000Z"}, ("about",)),
        ({**ACTION, "about": "W-000001"}, ("about",)),
        ({**ACTION, "about": "releases"}, ("about",)),
        ({**ACTION, "document": "SC-2"}, ("document",)),
        ({**ACTION, "body": "Registry"}, ("body",)),
    ],
)
def test_an_action_is_about_a_record_or_a_finding(
    filled: Snapshot, values: dict[str, Any], key: tuple[Any, ...]
) -> None:
    assert among(filled, **values) == {key}


@pytest.mark.parametrize(
    "path",
    [
        "/etc/passwd",
        "../x.jpg",
        "photos/../../x.jpg",
        ".git/config",
        "x/.Git/config",
        "a//b",
        ".",
        "C:/x",
        "a\\b",
        "a/",
    ],
)
@pytest.mark.parametrize("given", [TRIAL, {**ACTION, "about": "T-000001"}])
def test_an_attachment_stays_inside_the_repository(
    filled: Snapshot, path: str, given: dict[str, Any]
) -> None:
    attached = [{"path": "photos/fine.jpg", "sha256": "0" * 64}, {"path": path, "sha256": "0" * 64}]
    assert among(filled, **given, attachments=attached) == {("attachments", 1, "path")}


@pytest.mark.parametrize(
    "path",
    ["models/demo/model.toml", "materials/x.toml", "prices.toml", "recipe-track.toml", "hulls/014.toml",
     "records/2026/T-000001.toml", "README.md", "prices.toml.bak", "mymodels/x.toml"],
)  # fmt: skip
def test_a_change_holds_edits_of_just_what_the_covering_rule_governs(filled: Snapshot, path: str) -> None:
    edited = among(filled, **{**CHANGE, "edit": [{**EDIT, "path": path}]})
    assert (("edit", 0, "path") not in edited) == is_governed(path)


def test_zone_names_of_the_past_are_known(yard: Snapshot) -> None:
    old = replace(yard, past_zones={"demo": frozenset({"deck/gone"})})
    assert keys(holding(old, T_000001=record(**{**TRIAL, "zone": "deck/gone"}))) == set()
