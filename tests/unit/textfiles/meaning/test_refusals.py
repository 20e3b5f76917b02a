"""What models refuse: every mistake of a file once, at its place, in one run; one such file per kind.

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


def _told(path: str, data: bytes) -> list[tuple[int | None, str, str]]:
    model, problems = read_file(path, data)
    assert model is None
    return [(one.line, one.message, one.hint) for one in problems]


def test_a_key_that_slipped_behind_a_table_is_told_where_it_belongs() -> None:
    text = b'area_m2 = 1\n[required]\nsource = "SC"\ncentroid_m = [0, 0, 0]\nspan_mm = 3\n'
    told = _told("models/m/p/z.toml", text)
    assert told == [
        (1, "the key `centroid_m` is missing", ""),
        (4, "unknown key `centroid_m` in `required`",
         "`centroid_m` belongs to the file itself: write it before the first [table]"),
        (5, "unknown key `span_mm` in `required`", "it belongs to `panel`"),
    ]  # fmt: skip


def test_a_misspelled_key_is_not_also_missing() -> None:
    told = _told("models/m/p/z.toml", b"area_m2 = 1\ncentriod_m = [0, 0, 0]\n")
    assert told == [(2, "unknown key `centriod_m`", "did you mean `centroid_m`?")]


def test_free_text_or_a_table_is_told_by_what_stands_there() -> None:
    change = (
        'kind = "change"\nby = "A <a@b.example>"\non = 2026-01-01\nmodel = "m"\ntitle = "t"\nreason = "r"\n'
        'category = "layup"\n'
    )
    path = "records/2026/C-2M9XQ4.toml"
    assert (
        _told(path, (change + "considered = 3\n").encode())[0][1] == "`considered` must be text, not a number"
    )
    assert _told(path, (change + "considered = { texts = 'x' }\n").encode()) == [
        (8, "unknown key `texts` in `considered`", "did you mean `text`?")
    ]
    assert read_file(path, (change + "considered = 'more core'\n").encode())[0] is not None


@pytest.mark.parametrize(
    ("found", "hint"),
    [
        ("1.5", ""),
        ("2", "a fraction, not percent: 0.02?"),
        ("30", "a fraction, not percent: 0.3?"),
        ("100", "a fraction, not percent: 1?"),  # all of it, said in percent
        ("101", ""),
    ],
)
def test_a_percentage_is_taken_for_one_only_where_it_may_be(found: str, hint: str) -> None:
    layer = f'layup = [{{ material = "a", coverage_fraction = {found} }}]'
    told = _told("models/m/p/z.toml", f"centroid_m = [0, 0, 0]\n{layer}\n".encode())
    assert told == [(2, f"`coverage_fraction` in layer 1 must be at most 1, not {found}", hint)]
