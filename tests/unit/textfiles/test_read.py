"""What a file must say beyond its keys: its kind, its place, its format."""

import pytest

from recipe_track.recipe.craft import Settings
from recipe_track.recipe.records import Weighing
from recipe_track.textfiles.meaning.read import read_file

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
