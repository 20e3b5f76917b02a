"""Every rule across keys and files says its fault whole: the place, the words, the hint.

The files under `faulty/` are one recipe, each sound alone. The lines at their end that start with `#!` say
what must be told of the file: the key (`[key]` before it where the key itself is at fault, not its value),
the message, and behind an arrow the hint. `#?` are notes, which are no faults.
"""

import tomllib
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter

from recipe_track.errors import Fault
from recipe_track.recipe import rules
from recipe_track.recipe.craft import Hull
from recipe_track.recipe.records import Record
from recipe_track.recipe.snapshot import Snapshot
from recipe_track.recipe.trail import Records
from tests.recipes import read_recipe

FOLDER = Path(__file__).parent / "faulty"
FILES = sorted(file.relative_to(FOLDER).as_posix() for file in FOLDER.rglob("*.toml"))
_RECORD: TypeAdapter[Record] = TypeAdapter(Record)


def read(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def faulty() -> Snapshot:
    hulls = {path.stem: Hull.model_validate(read(path)) for path in sorted(FOLDER.glob("hulls/*"))}
    records = {path.stem: _RECORD.validate_python(read(path)) for path in FOLDER.glob("records/*/*")}
    return replace(read_recipe(FOLDER), hulls=hulls, records=Records(records))


def told(faults: Iterable[Fault], path: str) -> list[str]:
    return sorted(_words(fault) for fault in faults if fault.file == path)


def _words(fault: Fault) -> str:
    key = ".".join(map(str, fault.key))
    where = f"[key] {key}" if fault.at == "key" else key
    return f"{where}: {fault.message}{f' → {fault.hint}' if fault.hint else ''}"


def expected(path: str, sign: str) -> list[str]:
    lines = (FOLDER / path).read_text(encoding="utf-8").splitlines()
    return sorted(line.removeprefix(sign) for line in lines if line.startswith(sign))


@pytest.mark.parametrize("path", FILES)
def test_every_fault_is_told_whole(faulty: Snapshot, path: str) -> None:
    assert told(rules.check(faulty), path) == expected(path, "#! ")
    assert told(rules.notes(faulty), path) == expected(path, "#? ")


def test_no_fault_lies_elsewhere(faulty: Snapshot) -> None:
    assert {fault.file for fault in rules.check(faulty)} <= set(FILES)


def test_hulls_are_told_apart_by_more_than_the_case_of_a_letter(faulty: Snapshot) -> None:
    """Written here, since not every machine can hold two such files."""
    twice = replace(faulty, hulls={**faulty.hulls, "A1": faulty.hulls["a1"]})
    hint = "not every machine tells A1.toml from a1.toml"
    assert told(rules.check(twice), "hulls/A1.toml") == [f": hull a1 is there already → {hint}"]


def test_records_are_left_out_where_they_are_not_asked_for(faulty: Snapshot) -> None:
    recipe = {fault.file.split("/")[0] for fault in rules.check(faulty, with_records=False)}
    assert recipe == {"materials", "models", "prices.toml"}


def test_no_price_list_is_a_fault_of_a_repository_with_zones(faulty: Snapshot) -> None:
    bare = replace(faulty, prices=None)
    hint = "write `currency`, `labour_per_hour` and a [materials] table"
    assert told(rules.check(bare), "prices.toml") == [f": there is no price list → {hint}"]
    assert told(rules.check(replace(bare, models={})), "prices.toml") == []
