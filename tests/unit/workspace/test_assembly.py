"""Problems of files joined with others stand in the files they are in."""

from pathlib import Path

import pytest

from recipe_track.workspace.assembly import Parser, Reading, assemble, parse
from recipe_track.workspace.contents import working

TRIAL = """kind = "trial"
by = "Ada Quay <ada@quay.example>"
on = "yesterday"
replaces = 1
hull = "999"
zone = "deck/side"
text = "It creaks."
observation = "noise"
severity = 2
"""


def read(files: dict[str, str]) -> Reading:
    given = {"recipe-track.toml": "format = 1\n", **files}
    parsed = parse({path: text.encode() for path, text in given.items()}, Parser())
    return assemble(parsed, with_records=True)


def test_a_record_without_a_readable_date_keeps_its_problems_in_its_own_file() -> None:
    problems = read({"records/2026/T-7K3QX2.toml": TRIAL}).problems
    assert [(p.file, p.line, p.message.split("`")[1]) for p in problems] == [
        ("records/2026/T-7K3QX2.toml", 3, "on"),
        ("records/2026/T-7K3QX2.toml", 4, "replaces"),
        ("records/2026/T-7K3QX2.toml", 5, "999"),
    ]


def test_a_missing_key_stands_at_the_start_of_its_file_and_a_missing_file_has_no_line() -> None:
    part = 'resin = "x"\n'
    problems = read({"models/pb/deck/part.toml": part, "models/pb/deck/side.toml": "area_m2 = 1\n"}).problems
    places = {(p.file, p.line, p.column, p.message) for p in problems}
    assert ("models/pb/deck/part.toml", 1, 1, "the key `process` is missing") in places
    assert ("models/pb/model.toml", None, None, "models/pb has no model.toml") in places


YARD = {
    "models/pb/model.toml": 'origin = "x"\n',
    "models/pb/deck/part.toml": 'process = "infusion"\nresin = "ester"\n',
    "models/pb/deck/side.toml": 'area_m2 = 1\ncentroid_m = [0, 0, 0]\nlayup = [ { material = "paint" } ]\n',
    "materials/paint.toml": 'kind = "coating"\ndensity_kg_m3 = 1\n',
    "hulls/014.toml": 'model = "pb"\nfirst_release = "r1"\n',
    "records/2026/T-7K3QX2.toml": TRIAL.replace('"yesterday"', "2026-01-01").replace("replaces = 1\n", "").replace("999", "014"),
    "prices.toml": 'currency = "EUR"\nlabour_per_hour = 1\n[materials]\npaint = { per_kg = 1 }\n',
}  # fmt: skip


@pytest.mark.parametrize(
    ("lost", "told"),
    [
        (None, {("unknown-resin", "ester"), ("missing-key", "")}),
        ("models/pb/model.toml", {("unknown-resin", "ester"), ("missing-key", "")}),
        ("models/pb/deck/part.toml", set()),
        ("models/pb/deck/side.toml", {("unknown-resin", "ester")}),
        ("materials/paint.toml", {("unknown-resin", "ester")}),
        ("hulls/014.toml", {("unknown-resin", "ester"), ("missing-key", "")}),
        ("prices.toml", {("unknown-resin", "ester"), ("missing-key", "")}),
    ],
)
def test_what_only_follows_from_an_unreadable_file_is_not_told(
    lost: str | None, told: set[tuple[str, str]]
) -> None:
    """One problem is enough: what names the file, or would have to stand in it, is left out."""
    files = {path: text.encode() for path, text in YARD.items()} | {"recipe-track.toml": b"format = 1\n"}
    if lost is not None:
        files[lost] = files[lost].decode().encode("utf-16")
    problems = assemble(parse(files, Parser()), with_records=True).problems
    assert [(p.file, p.code) for p in problems if p.code == "not-utf-8"] == (
        [(lost, "not-utf-8")] if lost else []
    )
    assert {(p.code, p.name) for p in problems if p.code != "not-utf-8"} == told


def test_a_renumbered_hull_goes_on_from_its_old_steps() -> None:
    step = 'kind = "step"\nby = "A <a@b.example>"\non = 2026-01-01\npart = "deck"\nstate = "planned"\n'
    release = f'revision = "r1"\ncommit = "{"0" * 40}"\n'
    files = {
        **YARD,
        "hulls/015.toml": 'model = "pb"\nfirst_release = "r1"\nwas = "014"\n',
        "records/2026/H-000001.toml": f'{step}{release}hull = "014"\n',
        "records/2026/H-000002.toml": f'{step}hull = "015"\nafter = "H-000001"\n',
    }
    reading = read(files)
    assert [p for p in reading.problems if p.file.startswith("records/")] == []
    assert reading.snapshot.hull_state("014").part("deck") == reading.snapshot.hull_state("015").part("deck")


def test_a_thousand_bad_layers_are_all_told() -> None:
    """Each file is gone through once: once for each problem would take minutes."""
    rows = '  { material = "gone", plies = -1 },\n' * 1_000
    zone = f"area_m2 = 1\ncentroid_m = [0, 0, 0]\nlayup = [\n{rows}]\n"
    files = {
        "models/pb/model.toml": 'origin = "x"\n',
        "models/pb/deck/part.toml": 'process = "infusion"\nresin = "x"\n',
        "models/pb/deck/side.toml": zone,
    }
    lines = {p.line for p in read(files).problems if p.file == "models/pb/deck/side.toml"}
    assert lines == set(range(4, 1_004))


def test_a_key_of_ten_thousand_parts_is_one_problem() -> None:
    files = {"materials/x.toml": f'kind = "paste"\ndensity_kg_m3 = 1\na{".a" * 10_000} = 1\n'}
    told = [p for p in read(files).problems if p.file == "materials/x.toml"]
    assert [(p.line, p.message) for p in told] == [(3, "lists and tables are nested too deep")]


def test_a_billion_plies_are_a_slip_of_the_keyboard() -> None:
    zone = 'area_m2 = 1\ncentroid_m = [0, 0, 0]\nlayup = [ { material = "x", plies = 1000000000 } ]\n'
    files = {"models/pb/model.toml": 'origin = "x"\n', "models/pb/deck/side.toml": zone}
    told = [p for p in read(files).problems if p.file == "models/pb/deck/side.toml"]
    assert [(p.line, "at most 1000" in p.message) for p in told] == [(3, True)]


def test_a_link_is_read_as_git_stores_it(tmp_path: Path) -> None:
    """What lies outside of the repository is never read; a link that leads nowhere is not overlooked."""
    (tmp_path / "outside.toml").write_text("secret = 1\n")
    (tmp_path / "yard/materials").mkdir(parents=True)
    (tmp_path / "yard/materials/a.toml").symlink_to("../../outside.toml")
    (tmp_path / "yard/materials/b.toml").symlink_to("nowhere")
    (tmp_path / "yard/materials/c.toml").symlink_to("c.toml")
    (tmp_path / "yard/models").symlink_to(tmp_path)
    files, odd = working(tmp_path / "yard", with_records=True)
    assert files == {
        "materials/a.toml": b"../../outside.toml",
        "materials/b.toml": b"nowhere",
        "materials/c.toml": b"c.toml",
    }
    assert odd == {}


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("0", "greater than 0, not 0"),
        ("-1e-300", "greater than 0, not -1e-300"),
        ("1e-300", "at least 1e-09, not 1e-300"),
        ("1e300", "at most 1e+12, not 1e+300"),
    ],
)
def test_a_number_that_no_boat_has_is_refused_before_anything_is_computed(value: str, told: str) -> None:
    """Squares and cubes of it would be no numbers any more."""
    problems = read({"materials/x.toml": f'kind = "paste"\ndensity_kg_m3 = {value}\n'}).problems
    assert f"`density_kg_m3` must be {told}" in [p.message for p in problems]


def test_a_zone_cut_inside_braces_beside_a_slip_is_told() -> None:
    cut = 'area_m2 = 1,5\ncentroid_m = [0, 0, 0]\nlayup = [\n  { material = "pain" },\n  { material = "paint",\n'
    told = {(p.line, p.code) for p in read({**YARD, "models/pb/deck/side.toml": cut}).problems}
    assert {(1, "decimal-comma"), (4, "unknown-material"), (5, "unclosed-table")} <= told
