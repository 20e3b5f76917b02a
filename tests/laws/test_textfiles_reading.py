"""Laws of reading: what tomli accepts is read alike and every value is found; what it refuses is told."""

import math
from collections.abc import Iterator
from typing import Any

import tomli
from hypothesis import assume, given
from hypothesis import strategies as st

from recipe_track.errors import Fault, Key
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.syntax.grammar import read_toml
from recipe_track.textfiles.syntax.places import locate, positions
from tests.laws.toml_texts import TEXTS, damaged


def _paths(data: Any, path: Key = ()) -> Iterator[tuple[Key, Any]]:
    entries = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for name, value in entries:
        yield (*path, name), value
        yield from _paths(value, (*path, name))


def _parsed(text: str) -> dict[str, Any] | None:
    try:
        return tomli.loads(text)
    except tomli.TOMLDecodeError:
        return None


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return one == other or (math.isnan(one) and math.isnan(other))
    return type(one) is type(other) and one == other


@given(TEXTS)
def test_every_path_has_a_place_and_the_text_there_is_its_value(text: str) -> None:
    data = _parsed(text)
    assume(data is not None)
    places = positions(text)
    for path, value in _paths(data):
        name, span = places[path].key, places[path].value
        written = text[span.start : span.start + span.length]
        line = text.split("\n")[span.line - 1]
        assert line[span.column - 1 :].startswith(written.split("\n")[0])
        if name.start >= span.start and isinstance(path[-1], str):
            assert isinstance(value, (dict, list))  # a header, or a table implied by a dotted key
        elif not written.startswith("[["):
            header = isinstance(value, dict) and written.startswith("[")
            assert header or _same(tomli.loads(f"v = {written}")["v"], value)


@given(TEXTS)
def test_text_that_tomli_accepts_is_read_alike_without_a_mistake(text: str) -> None:
    data = _parsed(text)
    assume(data is not None)
    parsed = read_toml(text, valid=True)
    assert parsed.mistakes == ()
    assert _same(parsed.data, data)


@given(
    damaged(),
    st.sampled_from(["prices.toml", "materials/a.toml", "models/m/p/z.toml", "records/2026/T-7K3QX2.toml"]),
)
def test_whatever_is_written_is_read_or_told(text: str, path: str) -> None:
    model, problems = read_file(path, text.encode())
    assert (model is None) == bool(problems)
    lines = text.split("\n")
    for problem in problems:
        if problem.line is not None and problem.column is not None:
            assert 1 <= problem.line <= len(lines)
            assert 1 <= problem.column <= len(problem.excerpt) + 1
            assert problem.length >= 1


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_told(data: bytes) -> None:
    model, problems = read_file("recipe-track.toml", data)
    assert (model is None) == bool(problems)


@given(TEXTS, st.lists(st.sampled_from(["a", "b", "gone"]) | st.integers(0, 2), max_size=3))
def test_a_fault_is_located_at_its_key_or_at_a_parent(text: str, key: list[str | int]) -> None:
    assume(_parsed(text) is not None)
    problem = locate(Fault("f.toml", tuple(key), "wrong", "wrong"), text.encode())
    known = positions(text)
    nearest = next((tuple(key[:n]) for n in range(len(key), 0, -1) if tuple(key[:n]) in known), None)
    assert problem.line == (known[nearest].value.line if nearest else 1)
