"""The schemas for editors are in step with the models, and say the same of sound and of spoilt files."""

import json
import re
from collections.abc import Iterator
from copy import deepcopy
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import tomli
from jsonschema import Draft202012Validator, FormatChecker

from recipe_track.recipe.paths import kind_of_path
from recipe_track.textfiles.meaning.paths import validate
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.meaning.refusals import FORMS
from recipe_track.textfiles.meaning.schema import TITLES, main, schema, schema_files, schema_line

SOUND = Path(__file__).parent / "sound"
COMMITTED = Path(__file__).parents[4] / "schemas"
FILES = sorted(file.relative_to(SOUND).as_posix() for file in SOUND.rglob("*.toml"))
SPOILT: list[Any] = [True, "some text", -1, 1.5, 7, [], {}, [1], "", 0, ["x", "x"], {"x": 1}]


def test_the_committed_schemas_are_in_step(tmp_path: Path) -> None:
    main(str(tmp_path))
    written = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    assert written == {file.name: file.read_bytes() for file in COMMITTED.iterdir()}
    assert len(written) == len(TITLES) == 8


@pytest.mark.parametrize("kind", TITLES)
def test_a_schema_is_plain(kind: str) -> None:
    text = schema_files()[f"{kind}.schema.json"]
    Draft202012Validator.check_schema(json.loads(text))
    assert not re.search(r'"(discriminator|default)"', text)
    assert {one for one in re.findall(r'"\$ref": "(.*)"', text) if not one.startswith("#/$defs/")} == set()
    assert "null" not in text
    assert text.count('"title":') == 1 + (kind == "record")  # the key `title` of a change


@pytest.mark.parametrize("path", FILES)
def test_a_sound_file_fits_its_model_and_its_schema(path: str) -> None:
    data = (SOUND / path).read_bytes()
    assert read_file(path, data)[1] == ()
    assert _fits_schema(path, tomli.loads(data.decode()))


@pytest.mark.parametrize("path", FILES)
def test_models_and_schemas_agree_on_spoilt_files(path: str) -> None:
    kind = str(kind_of_path(path))
    judged = {True: 0, False: 0}
    for what, data in _spoilt(tomli.loads((SOUND / path).read_text(encoding="utf-8"))):
        fits = validate(kind, path, data)[0] is not None
        assert _fits_schema(path, data) == fits, what
        judged[fits] += 1
    assert judged[False] > 20
    assert judged[True] > 1


def test_every_number_with_a_unit_says_it() -> None:
    unit = re.compile(r"(^|_)(mm2?|m[23]?|kg|kn|[gmk]pa|deg|cm|hours|hour|fraction)(_min|_max)?$")
    numbers = {
        name: node
        for kind in TITLES
        for name, node in _properties(schema(kind))
        if node.get("type") in ("number", "array") and unit.search(name)
    }
    assert len(numbers) > 50
    assert [name for name, node in numbers.items() if "description" not in node] == []


def test_every_pattern_has_words() -> None:
    patterns = {
        node["pattern"]
        for kind in TITLES
        for node in _nodes(schema(kind))
        if isinstance(node.get("pattern"), str)
    }
    assert patterns <= set(FORMS)
    assert len(patterns) >= 8


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("recipe-track.toml", "#:schema .schemas/settings.schema.json"),
        ("materials/a.toml", "#:schema ../.schemas/material.schema.json"),
        ("models/m/p/z.toml", "#:schema ../../../.schemas/zone.schema.json"),
        ("records/2026/T-7K3QX2.toml", "#:schema ../../.schemas/record.schema.json"),
    ],
)
def test_the_first_line_leads_to_the_schema(path: str, line: str) -> None:
    assert schema_line(path) == line


def _fits_schema(path: str, data: dict[str, Any]) -> bool:
    """Whether an editor would accept the data; it sees a TOML date as text of the format `date`."""
    text = json.dumps(
        data, default=lambda value: value.isoformat() if isinstance(value, date) else str(value)
    )
    return bool(_judge(str(kind_of_path(path))).is_valid(json.loads(text)))


@cache
def _judge(kind: str) -> Draft202012Validator:
    return Draft202012Validator(schema(kind), format_checker=FormatChecker(["date"]))


def _spoilt(data: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """The data with one key gone, one key too many, or one value of another sort, everywhere in turn."""
    for path in _paths(data):
        for value in SPOILT:
            yield f"{path} = {value!r}", _changed(data, path, value)
        if isinstance(path[-1], str):
            yield f"{path} gone", _changed(data, path, None)
            yield f"{path} misspelt", _changed(data, (*path[:-1], f"{path[-1]}x"), 1)


def _paths(data: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    entries = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for name, value in entries:
        yield (*path, name)
        yield from _paths(value, (*path, name))


def _changed(data: dict[str, Any], path: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    changed = deepcopy(data)
    holder: Any = changed
    for part in path[:-1]:
        holder = holder[part]
    if value is None:
        del holder[path[-1]]
    else:
        holder[path[-1]] = value
    return changed


def _nodes(node: Any) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
    for inner in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
        yield from _nodes(inner)


def _properties(node: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    for one in _nodes(node):
        if one.get("type") == "object":
            yield from one.get("properties", {}).items()
