"""What a file must say beyond its keys: its kind, its place, its format."""

import pytest

from recipe_track.recipe.craft import Settings
from recipe_track.recipe.records import Weighing
from recipe_track.textfiles.meaning.read import newer_than_known, read_file
from recipe_track.textfiles.meaning.stand_ins import mend

WEIGHING = b"""\
kind = "weighing"
by = "Jon Berg <jon@yard.example>"
on = 2026-05-02
hull = "014"
part = "hull"
mass_kg = 742
state = "as-demoulded"
"""


def _told(path: str, data: bytes) -> list[tuple[int | None, str, str]]:
    model, problems = read_file(path, data)
    assert model is None
    return [(one.line, one.message, one.hint) for one in problems]


def test_a_sound_record_is_read() -> None:
    model, problems = read_file("records/2026/W-3D4E5F.toml", WEIGHING)
    assert isinstance(model, Weighing)
    assert (model.mass_kg, model.on.isoformat(), problems) == (742.0, "2026-05-02", ())


def test_a_record_lies_in_the_folder_of_its_year() -> None:
    assert _told("records/2025/W-3D4E5F.toml", WEIGHING) == [
        (
            3,
            "`on` is in 2026, but the file lies in records/2025",
            "move it to records/2026, or correct the date",
        )
    ]


def test_a_record_is_named_by_its_kind() -> None:
    assert _told("records/2026/T-3D4E5F.toml", WEIGHING) == [
        (1, "`kind` is weighing, but the file is named as a trial", "the id of a weighing begins with W-")
    ]


def test_a_record_without_a_kind_is_checked_as_its_name_says() -> None:
    text = WEIGHING.replace(b'kind = "weighing"\n', b"").replace(b"742", b"-742")
    assert _told("records/2026/W-3D4E5F.toml", text) == [
        (1, "the key `kind` is missing", "it is weighing"),
        (5, "`mass_kg` must be greater than 0, not -742", ""),
    ]


def test_a_material_without_a_kind_is_checked_for_what_all_likely_kinds_share() -> None:
    told = _told("materials/x.toml", b'density_kg_m3 = -1\nwet_thickness_mm = "1"\n')
    assert [message for _, message, _ in told] == [
        "the key `kind` is missing",
        "`density_kg_m3` must be greater than 0, not -1",
        "`wet_thickness_mm` must be a number, not text",
    ]


def test_a_newer_format_is_told_alone() -> None:
    told = _told("recipe-track.toml", b"format = 2\ncolour = 3\nyard = not yet known syntax\n")
    assert told == [
        (1, "this repository is written in format 2, newer than format 1", "update recipe-track to read it")
    ]


def test_the_known_format_is_read() -> None:
    model, problems = read_file("recipe-track.toml", b"format = 1\n")
    assert isinstance(model, Settings)
    assert (model.main_branch, model.approval.reason_min_length, problems) == ("main", 12, ())


@pytest.mark.parametrize("path", ["README.toml", "materials/Biax 800.toml"])
def test_what_is_no_recipe_file_is_not_read(path: str) -> None:
    model, problems = read_file(path, b"")
    assert model is None
    assert len(problems) == 1


def test_a_file_larger_than_any_recipe_is_refused_with_its_size() -> None:
    assert _told("models/m/p/z.toml", b"#" * 1_000_001) == [
        (
            1,
            "this file has 1,000,001 bytes; at most 1,000,000 are read",
            "was something else pasted or saved here?",
        )
    ]
    assert mend("models/m/p/z.toml", b"#" * 1_000_001) is None
    assert newer_than_known(b"format = 9\n" + b"#" * 1_000_000) is None


def test_a_record_may_be_as_large_as_the_files_it_keeps() -> None:
    assert read_file("records/2026/W-3D4E5F.toml", WEIGHING + b"#" * 2_000_000)[0] is not None


def test_many_unknown_keys_are_told_up_to_a_number() -> None:
    told = _told(
        "models/m/p/z.toml", b"centroid_m = [0, 0, 0]\n" + b"".join(b"key%d = 1\n" % n for n in range(250))
    )
    assert len(told) == 101
    assert told[99][1] == "unknown key `key99`"
    assert told[100] == (
        102,
        "150 more unknown keys from here on in this file are not listed",
        "mend the others first",
    )


def test_many_mistakes_in_the_text_are_told_up_to_a_number() -> None:
    told = _told("models/m/p/z.toml", b"area\n" * 900)
    assert len(told) == 201
    assert told[-1] == (200, "200 mistakes up to here: the rest is not told", "mend these first")
    marked = _told("models/m/p/z.toml", b"# \xff\n" * 900 + b"centroid_m = [0, 0, 0]")
    assert marked[200] == (201, "200 mistakes up to here: the rest is not told", "mend these first")


def test_a_layup_has_no_more_layers_than_can_be_computed() -> None:
    rows = b'  { material = "a" },\n' * 1001
    told = _told("models/m/p/z.toml", b"centroid_m = [0, 0, 0]\nlayup = [\n" + rows + b"]\n")
    assert told == [(1003, "`layup` must have at most 1,000 rows, not 1,001", "")]


def test_a_number_that_python_would_not_write_is_told() -> None:
    told = _told("models/m/p/z.toml", b"centroid_m = [0, 0, 0]\narea_m2 = 0x" + b"F" * 9000)
    assert told == [(2, "`area_m2` must be a number, not a number of thousands of digits", "")]
