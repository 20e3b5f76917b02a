"""Laws of writing: what is written reads back equal, and an edit changes nothing but what it names."""

from datetime import date
from typing import Any

import tomli
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.writing.edit import append_table, set_row, set_value
from recipe_track.textfiles.writing.render import to_toml

HOSTILE = st.sampled_from(
    [
        '"', '"""', "'''", "\\", "\\u0041", "\x00", "\x1b[31m", "\x7f", "\x85", "\u2028", "\u202e", "\ufeff", "\r", "\r\n",
        "\n", "\n\n", "\t", " \n", "\\\n", "\n[part]\nx = 1\n", "\n<<<<<<< HEAD\n", "\n=======\n", "# no", "{", "}", "[", "]",
        ",", "=", "é", "😀", "[bold]", "<script>", "\ufffd", "\U000e0001",
    ]
)  # fmt: skip
STRINGS = st.lists(HOSTILE | st.text(max_size=4), max_size=6).map("".join)
NUMBERS = st.integers(-(2**62), 2**62) | st.floats(allow_nan=False, allow_infinity=False)
SCALARS = STRINGS | NUMBERS | st.booleans() | st.dates()
NAMES = (
    st.sampled_from(["part", "mass", "expected", "zones", "measured", "on", "layers", "d/e", ""]) | STRINGS
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3),
    max_leaves=12,
)
TABLES = st.dictionaries(NAMES, VALUES, max_size=6)


@given(TABLES)
def test_what_is_written_reads_back_equal(data: dict[str, Any]) -> None:
    text = to_toml(data, "#:schema x.json")
    assert tomli.loads(text) == data
    assert text.startswith("#:schema x.json\n")
    assert text.endswith("\n")


@given(TABLES)
def test_what_is_written_shows_and_stays_put(data: dict[str, Any]) -> None:
    written = to_toml(data)
    assert all(char.isprintable() or char in "\n\t" for char in written)
    assert not any(
        line.startswith(("<<<<<<<", "=======", ">>>>>>>", "|||||||")) for line in written.split("\n")
    )


@given(STRINGS.filter(bool), STRINGS, st.dates())
def test_a_record_with_any_text_reads_back_as_its_model(text: str, conditions: str, on: date) -> None:
    record = {
        "kind": "trial", "by": "Mara Lund <mara@yard.example>", "on": on, "hull": "014", "zone": "deck/side",
        "text": text, "observation": "noise", "severity": 2, "conditions": conditions, "replaces": None,
        "measured": {"deflection_mm": 9.0, "force_kn": 1.6, "side_mm": 100}, "attachments": ("a.jpg",),
    }  # fmt: skip
    model, problems = read_file(f"records/{on.year:04d}/T-7K3QX2.toml", to_toml(record).encode())
    assert problems == ()
    assert model is not None
    assert model.model_dump(exclude_unset=True) == {
        key: value for key, value in record.items() if value is not None
    }


LINES = st.sampled_from(["# a note = 1", "", "  ", "\t# [[part]]", "# é 😀"])
PARTS = ("hull", "deck", "cabin")


@st.composite
def hull_texts(draw: st.DrawFn) -> str:
    """The text of a hull with comments, blank lines and either line end."""
    lines = [*draw(st.lists(LINES, max_size=3)), 'model = "pb98"  # craft', 'status = "in-build"']
    for part in draw(st.lists(st.sampled_from(PARTS), max_size=3, unique=True)):
        lines += [
            *draw(st.lists(LINES, max_size=2)),
            draw(st.sampled_from(["[[part]]", " [[ part ]] # one"])),
        ]
        keys = [
            f'part = "{part}"',
            *draw(st.lists(st.sampled_from(['revision = "r7"', "state='planned' # x"]), unique=True)),
        ]
        for key in draw(st.permutations(keys)):
            lines += [*draw(st.lists(LINES, max_size=1)), key]
    end = draw(st.sampled_from(["\n", "\r\n"]))
    return end.join(lines) + draw(st.sampled_from(["", end]))


def _rows(text: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = tomli.loads(text).get("part", [])
    return rows


@given(
    hull_texts(),
    st.sampled_from(PARTS),
    st.dictionaries(st.sampled_from(["revision", "state", "note"]), STRINGS),
)
def test_setting_a_row_changes_its_lines_alone(text: str, part: str, values: dict[str, str]) -> None:
    edited = set_row(text, "part", {"part": part}, values)
    before = {row["part"]: row for row in _rows(text)}
    after = {row["part"]: row for row in _rows(edited)}
    assert after == {**before, part: {"part": part, **before.get(part, {}), **values}}
    kept = [line for line in text.split("\n") if not line.lstrip().startswith(("revision", "state"))]
    assert _is_subsequence(
        [line.rstrip("\r") for line in kept], [line.rstrip("\r") for line in edited.split("\n")]
    )
    assert ("\r\n" in edited) == ("\r\n" in text) or "\n" not in text
    assert edited.count("\n") == edited.count("\r\n") or "\r\n" not in text


@given(hull_texts(), STRINGS)
def test_a_value_set_to_what_it_was_gives_the_same_bytes(text: str, note: str) -> None:
    assert set_value(text, ("status",), "in-build") == text
    noted = set_value(text, ("note",), note)
    assert set_value(noted, ("note",), note) == noted


@given(hull_texts(), TABLES)
def test_an_appended_table_leaves_the_text_before_it(text: str, values: dict[str, Any]) -> None:
    edited = append_table(text, "part", values)
    assert edited.startswith(text)
    assert _rows(edited) == [*_rows(text), values]


def _is_subsequence(short: list[str], long: list[str]) -> bool:
    rest = iter(long)
    return all(line in rest for line in short)
