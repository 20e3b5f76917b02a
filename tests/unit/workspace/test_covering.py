"""The covering rule joined with a repository: zones, settings, our own way of joining, texts that git lost."""

from pathlib import Path

import pytest

from recipe_track.history.repository import open_repository
from recipe_track.trail import Change, Edit, Verdict
from recipe_track.trail.joining import joins
from recipe_track.trail.texts import blob_id
from recipe_track.workspace.covering import covering, driver_joins, former_paths, is_free
from tests.journeys.gitrepo import GitRepo

ZONE = "models/m/hull/side.toml"
LAYERS = [
    '  {{ material = "csm-300" }},',
    '  {{ material = "biax-800", plies = {} }},',
    '  {{ material = "uni-{}" }},',
]


def zone(plies: int = 1, uni: int = 600) -> str:
    """Two neighbouring layers: git sees one hunk where both are altered, our own way of joining two."""
    rows = "\n".join([LAYERS[0].format(), LAYERS[1].format(plies), LAYERS[2].format(uni)])
    return f"area_m2 = 1.0\ncentroid_m = [0.0, 0.0, 0.0]\nlayup = [\n{rows}\n]\n"


def verdict(repo: GitRepo, *changes: Change, texts: dict[str, bytes] | None = None) -> Verdict:
    with repo.acting(), open_repository(repo.root) as opened:
        return covering(opened, repo.head(), changes, texts=texts or {})


def blob(repo: GitRepo, text: str) -> str:
    return repo.git("hash-object", "-w", "--stdin", stdin=text.encode())


def test_what_our_driver_joins_is_a_clean_merge(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    repo.commit("issue", files={ZONE: zone()})
    plies = Edit(ZONE, blob(repo, zone()), blob(repo, zone(plies=2)))
    uni = Edit(ZONE, blob(repo, zone()), blob(repo, zone(uni=900)))
    repo.branch("side")
    repo.commit("plies", files={ZONE: zone(plies=2)})
    repo.checkout("main")
    repo.commit("uni", files={ZONE: zone(uni=900)})
    repo.run("merge", "--no-commit", "side")
    repo.commit("merge", files={ZONE: zone(plies=2, uni=900)})
    assert len(repo.git("rev-parse", "HEAD^@").split()) == 2
    found = verdict(repo, Change("C-1", "approved", (plies,)), Change("C-2", "approved", (uni,)))
    assert not found.open
    assert not list(joins(*(text.encode() for text in (zone(), zone(plies=2), zone(uni=900)))))


def test_the_driver_joins_only_files_that_can_stand_there() -> None:
    versions = [text.encode() for text in (zone(), zone(plies=2), zone(uni=900))]
    assert driver_joins(ZONE, *versions) == (zone(plies=2, uni=900).encode(),)
    assert driver_joins("models/m/hull/part.toml", *versions) == ()


def test_a_record_that_keeps_its_texts_needs_no_blob(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    before, after = (zone(uni=1000 + n) + 'note = "a"\n' for n in (0, 0))
    after = after.replace("plies = 1", "plies = 2")
    repo.commit("issue", files={ZONE: zone() + 'note = "a"\n'})
    repo.commit("moved", files={ZONE: zone(plies=2) + 'note = "a"\n'})
    lost = GitRepo.create(tmp_path, name="elsewhere")
    texts = {blob(lost, text): text.encode() for text in (before, after)}
    change = Change("C-1", "approved", (Edit(ZONE, *texts),))
    assert len(verdict(repo, change).open) == 1
    assert not verdict(repo, change, texts=texts).open


def test_a_text_that_a_record_forges_is_not_believed(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    repo.commit("issue", files={ZONE: zone()})
    repo.commit("tampered", files={ZONE: zone(uni=900)})
    edit = Edit(ZONE, blob(repo, zone()), blob(repo, zone(plies=2)))
    forged = {edit.after: zone(uni=900).encode()}
    assert [
        finding.edit.after for finding in verdict(repo, Change("C-1", "approved", (edit,)), texts=forged).open
    ] == [blob(repo, zone(uni=900))]


def test_the_tip_of_a_sha256_repository(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path, "--object-format=sha256")
    repo.commit("issue", files={ZONE: zone()})
    edit = Edit(ZONE, blob(repo, zone()), blob(repo, zone(plies=2)))
    repo.commit("plies", files={ZONE: zone(plies=2).replace("\n", "\r\n")})
    assert [finding.edit.path for finding in verdict(repo).open] == [ZONE]
    assert not verdict(repo, Change("C-1", "approved", (edit,))).open


@pytest.mark.parametrize(
    ("path", "text", "expected"),
    [
        (ZONE, b'formerly = ["deck/a", "hull/b"]\n', ("models/m/deck/a.toml", "models/m/hull/b.toml")),
        (ZONE, b"formerly = 3\n", ()),
        (ZONE, b"formerly = [3]\n", ()),
        (ZONE, b"formerly = [\n", ()),
        (ZONE, b"\xff formerly\n", ()),
        ("materials/a.toml", b'formerly = ["deck/a"]\n', ()),
    ],
)
def test_the_paths_that_a_zone_had(path: str, text: bytes, expected: tuple[str, ...]) -> None:
    assert former_paths(path, text) == expected


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        (b"format = 1\n[csv]\na = 1\n", b"format = 1\n[csv]\na = 2\n", True),
        (b"format = 1\n", b"format = 1\n[lessons]\na = 2\n[alternatives]\nb = 1\n", True),
        (b"format = 1\n[csv]\na = 1\n", b"format = 2\n[csv]\na = 2\n", False),
        (b"format = 1\n", b"format = 1\n[approval]\nsigned = false\n", False),
        (b"format = 1\n", b"format =  1\n", False),  # no byte beside is of no account
        (b"format = 1\n[csv]\na = 1\n", b"format = 1\n#\n[csv]\na = 2\n", False),
        (b"format = 1\n", b"format = 1\n\n", False),
        (b"format = 1\n\n[csv]\na = 1\n", b"format = 1\n", True),
        (b"format = 1\n[csv]\na = 1\n", b"format = 1\r\n[csv]\r\na = 2\r\n", True),
        (b"format = 1\n[csv.b]\na = 1\n[approval]\n", b"format = 1\n[approval]\n", True),
        (b'yard = """\n[csv]\na"""\n', b'yard = """\n[csv]\nb"""\n', False),
        (b"format = 1\n", b"format = \n", False),
        (b"format = \n", b"format = 1\n", False),
    ],
)
def test_settings_that_are_habits(before: bytes, after: bytes, expected: bool) -> None:
    assert is_free(before, after) is expected


def test_records_of_a_sha1_repository_hold_in_a_sha256_one(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path, "--object-format=sha256")
    repo.commit("issue", files={ZONE: zone()})
    repo.commit("plies", files={ZONE: zone(plies=2)})
    edit = Edit(ZONE, *(blob_id(text.encode()) for text in (zone(), zone(plies=2))))
    assert {len(edit.before), len(repo.git("rev-parse", f"HEAD:{ZONE}"))} == {40, 64}
    assert len(verdict(repo).open) == 1
    found = verdict(repo, Change("C-1", "approved", (edit,)))
    assert not found.open
    assert not found.not_landed
    elsewhere = [f'note = "a"\n{zone(plies)}'.encode() for plies in (1, 2)]
    moved = Change("C-1", "approved", (Edit(ZONE, *map(blob_id, elsewhere)),))
    assert not verdict(repo, moved, texts={blob_id(text): text for text in elsewhere}).open


def test_a_shallow_clone_clears_nothing_beyond_its_edge(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    repo.commit("issue", files={ZONE: zone()})
    edit = Edit(ZONE, blob(repo, zone()), blob(repo, zone(plies=2)))
    record, decision = "records/2026/C-1.toml", "records/2026/D-1.toml"
    repo.commit("plies", files={ZONE: zone(plies=2), record: "", decision: ""})
    repo.commit("back", files={ZONE: zone()})
    repo.commit("replayed", files={ZONE: zone(plies=2)})
    shallow = repo.clone("shallow", "--depth=2")
    found = verdict(shallow, Change("C-1", "approved", (edit,), record, decision))
    assert [finding.commits for finding in found.open] == [(repo.head(),)]
    assert not found.not_landed
