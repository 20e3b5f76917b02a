"""Rules of hulls and their steps: which step can follow which, and what a hull was called before."""

from dataclasses import replace
from typing import Any

import pytest

from recipe_track.recipe import rules
from recipe_track.recipe.craft import Hull
from recipe_track.recipe.ledger import Records
from recipe_track.recipe.snapshot import Snapshot
from tests.unit.recipe.yard import CHANGE, STEP, holding, record

OF_013 = {**STEP, "hull": "013"}
WHOLE = {"kind": "step", "hull": "014", "state": "in-build"}
TAKEN = {"kind": "step", "hull": "014", "part": "deck", "state": "fitted", "from": "013", "after": "H-000002"}


def on(values: dict[str, Any], after: str | None = "H-000001", **more: Any) -> dict[str, Any]:
    """A later step: with the one before it, and without the release that the first one named."""
    kept = {key: value for key, value in values.items() if key not in ("revision", "commit")}
    return {**kept, **({"after": after} if after else {}), **more}


def numbered(yard: Snapshot, **hulls: dict[str, Any]) -> Snapshot:
    made = {n.removeprefix("n"): Hull.model_validate({"first_release": "r1", **v}) for n, v in hulls.items()}
    return replace(yard, hulls={**yard.hulls, **made})


@pytest.fixture
def two(yard: Snapshot) -> Snapshot:
    """Hulls 013 and 014, the deck of each planned, 014 in build, and a change."""
    return holding(
        numbered(yard, n013={"model": "demo"}), H_000002=record(**OF_013), H_000003=record(**WHOLE),
        C_000001=record(**{**CHANGE, "trials": []}),
    )  # fmt: skip


def keys(snapshot: Snapshot) -> set[tuple[str | int, ...]]:
    return {fault.key for fault in rules.check(snapshot)}


def among(two: Snapshot, **values: Any) -> set[tuple[str | int, ...]]:
    return keys(replace(two, records=two.records.joined({"H-00000X": record(**values)})))


@pytest.mark.parametrize(
    "values",
    [
        on(STEP, state="kit-cut"),
        on(STEP, state="scrapped"),
        on(STEP, state="fitted", done=["C-000001"]),
        {**STEP, "after": "H-000001", "state": "in-mould"},
        on(WHOLE, "H-000003", state="delivered"),
        TAKEN,
    ],
)
def test_a_step_that_fits_is_no_fault(two: Snapshot, values: dict[str, Any]) -> None:
    assert among(two, **values) == set()


@pytest.mark.parametrize(
    ("values", "key"),
    [
        (on(STEP, state="delivered"), ("state",)),
        (on(WHOLE, "H-000003", state="fitted"), ("state",)),
        (on(WHOLE, "H-000003", revision="r1", commit="0" * 40), ("revision",)),
        (on(WHOLE, "H-000003", done=["C-000001"]), ("done",)),
        (on(STEP, hull="015", after="H-000001"), ("hull",)),
        (on(STEP, part="dek", after="H-000001"), ("part",)),
        (on(STEP, after=None), ("revision",)),
        (on(STEP, revision="r1"), ("revision",)),
        (on(STEP, commit="0" * 40), ("commit",)),
        (on(STEP, after="H-00000Z"), ("after",)),
        (on(STEP, after="H-00000X"), ("after",)),
        (on(STEP, after="H-000002"), ("after",)),
        (on(STEP, after="H-000003"), ("after",)),
        (on(WHOLE, "H-000001"), ("after",)),
        ({**TAKEN, "after": "H-000001"}, ("after",)),
        (on(STEP, done=["C-000001", "C-00000Z"]), ("done", 1)),
        ({**TAKEN, "from": "099"}, ("from",)),
        (on(STEP, **{"from": "014"}), ("from",)),
    ],
)
def test_a_step_fits_its_hull_and_the_step_before(
    two: Snapshot, values: dict[str, Any], key: tuple[Any, ...]
) -> None:
    assert key in among(two, **values)


def test_the_hull_that_gave_a_part_away_goes_on_from_there(two: Snapshot) -> None:
    records = two.records.joined({"H-00000T": record(**TAKEN)})
    given = replace(two, records=records)
    assert among(given, **on(STEP, "H-00000T", hull="013", state="in-mould")) == set()
    assert among(given, **on(STEP, "H-00000T", state="scrapped")) == set()


def test_a_renumbered_hull_goes_on_from_the_steps_under_its_old_number(two: Snapshot) -> None:
    renumbered = numbered(two, n014A={"model": "demo", "was": "014"})
    moved = replace(renumbered, records=Records(two.records, {"014": "014A"}))
    assert among(moved, **on(STEP, hull="014A", state="in-mould")) == set()
    assert among(moved, **on(STEP, "H-000002", hull="014A", state="in-mould")) == {("after",)}
    assert among(moved, **{**TAKEN, "hull": "014A", "from": "014", "after": "H-000001"}) == {("from",)}


def test_a_hull_is_of_a_model(yard: Snapshot) -> None:
    assert keys(numbered(yard, n015={"model": "dem"})) == {("model",)}


def test_numbers_that_only_case_tells_apart_are_one(yard: Snapshot) -> None:
    twice = numbered(yard, a1={"model": "demo"}, A1={"model": "demo"})
    assert [(fault.file, fault.key) for fault in rules.check(twice)] == [("hulls/A1.toml", ())]


@pytest.mark.parametrize(
    ("hulls", "file"),
    [
        ({"n015": {"model": "demo", "was": "099"}}, "hulls/015.toml"),
        ({"n015": {"model": "other", "was": "014"}}, "hulls/015.toml"),
        (
            {"n015": {"model": "demo", "was": "014"}, "n016": {"model": "demo", "was": "014"}},
            "hulls/016.toml",
        ),
        ({"n015": {"model": "demo", "was": "015"}}, "hulls/015.toml"),
    ],
)
def test_a_hull_was_one_other_hull_of_its_model(
    yard: Snapshot, hulls: dict[str, dict[str, Any]], file: str
) -> None:
    told = [f for f in rules.check(numbered(yard, **hulls)) if f.key == ("was",)]
    assert [fault.file for fault in told] == [file]


def test_numbers_that_lead_back_to_themselves_are_told(yard: Snapshot) -> None:
    ring = numbered(yard, n015={"model": "demo", "was": "016"}, n016={"model": "demo", "was": "015"})
    assert {(f.file, f.key) for f in rules.check(ring)} == {
        ("hulls/015.toml", ("was",)), ("hulls/016.toml", ("was",)),
    }  # fmt: skip
