"""A file with many mistakes tells each of them once, at its place, in one run; one such file per kind.

The files under `mistakes/` lie where they would in a recipe repository; the lines at their end that start
with `#!` say what must be told, as line:column and message (`1:1` of what is missing in the whole file).
"""

from pathlib import Path

import pytest

from recipe_track.recipe.paths import kind_of_path
from recipe_track.textfiles.meaning.paths import MATERIALS, RECORDS, SINGLE
from recipe_track.textfiles.meaning.read import read_file

FOLDER = Path(__file__).parent / "mistakes"
FILES = sorted(file.relative_to(FOLDER).as_posix() for file in FOLDER.rglob("*.toml"))
PYDANTIC_JARGON = (
    "input",
    "valid ",
    "string",
    "float",
    "integer",
    "dictionary",
    "extra",
    "permitted",
    "literal",
)


def _split(path: str) -> tuple[bytes, list[str]]:
    lines = (FOLDER / path).read_bytes().splitlines(keepends=True)
    told = [line[3:].decode().rstrip("\n") for line in lines if line.startswith(b"#! ")]
    return b"".join(line for line in lines if not line.startswith(b"#! ")), told


@pytest.mark.parametrize("path", FILES)
def test_every_mistake_is_told_once_at_its_place(path: str) -> None:
    data, expected = _split(path)
    model, problems = read_file(path, data)
    assert model is None
    assert [f"{one.line}:{one.column} {one.message}" for one in problems] == expected


@pytest.mark.parametrize("path", FILES)
def test_there_are_at_least_ten_at_ten_places(path: str) -> None:
    places = {told.split(" ")[0] for told in _split(path)[1]}
    assert len(places) >= 10


@pytest.mark.parametrize("path", FILES)
def test_problems_carry_their_line_and_plain_words(path: str) -> None:
    data, _ = _split(path)
    lines = data.decode().split("\n")
    for problem in read_file(path, data)[1]:
        assert problem.file == path
        assert not any(word in problem.message for word in PYDANTIC_JARGON)
        assert problem.line is not None
        assert problem.column is not None
        if "is missing" in problem.message and problem.line == 1:
            assert problem.excerpt == ""  # nothing there to point at
        else:
            assert problem.excerpt == lines[problem.line - 1]
            assert 1 <= problem.column + problem.length - 1 <= len(problem.excerpt)


def test_every_kind_of_file_has_its_mistakes() -> None:
    kinds = {kind_of_path(path) for path in FILES}
    assert kinds == {*SINGLE, "material", "record"}
    assert sum(path.startswith("materials/") for path in FILES) == len(MATERIALS)
    assert sum(path.startswith("records/") for path in FILES) == len(RECORDS)
