"""A dry run writes nothing, and neither does a look; a proposal takes recipe files and names all else."""

from pathlib import Path

import pytest

from tests.faults.commands import Prepared, reading, who_calls, writing
from tests.journeys.yard import SIDE, Yard, new_yard, thicken

SAID = ("change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup")
# What a look keeps for itself: what it computed, and what it saw of main.
KEPT = ("recipe-track/", "refs/recipe-track/", "logs/refs/recipe-track/")


def under_git(root: Path) -> dict[str, bytes]:
    """Every file of the git directory, but for what a look may keep."""
    folder = root / ".git"
    files = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    return {name: path.read_bytes() for name, path in files.items() if not name.startswith(KEPT)}


def test_no_dry_run_and_no_look_changes_the_git_directory(one: Prepared) -> None:
    for args in reading(one):
        before = under_git(one.yard.root)
        one.yard(*args)
        assert under_git(one.yard.root) == before, args
    tried = 0
    for args in writing(one):
        before = under_git(one.yard.root)
        said = one.yard(*args, "--dry-run", who=who_calls(args))
        assert under_git(one.yard.root) == before, (args, said.err)
        tried += said.status == 0
    assert tried > 10


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def test_a_proposal_leaves_alone_what_is_no_recipe_file_and_names_it_with_its_size(yard: Yard) -> None:
    thicken(yard)
    scan = "models/demo/deck/scan.bin"
    with (yard.repo.write(scan, b"")).open("wb") as file:
        file.truncate(400_000_000)  # takes no room on the disk, and would take minutes to store
    yard.repo.write("models/demo/notes.txt", "mine\n")
    for dry in (("--dry-run",), ()):
        said = yard(*SAID, *dry)
        assert said.status == 0, said.err
        assert f"left alone {scan}: no recipe file (400.0 MB)" in said.err
        assert "left alone models/demo/notes.txt: no recipe file (5 B)" in said.err
        assert len(said.err) < 5000
    changed = yard.repo.git("diff", "--name-only", "main", f"change/{said.id}").split()
    assert changed == [SIDE, f"records/2026/{said.id}.toml"]
    yard.repo.git("checkout", "--quiet", "HEAD", "--", SIDE)
    refused = yard(*SAID)
    assert refused.status == 1
    assert scan in refused.err


def test_what_main_holds_beside_the_recipe_is_neither_named_nor_taken_away(yard: Yard) -> None:
    (yard.root / "models/demo/link").symlink_to("model.toml")
    yard.repo.commit("beside", files={"models/demo/drawing.txt": "a\n"})
    thicken(yard)
    said = yard(*SAID, "--dry-run")
    assert said.status == 0, said.err
    assert "drawing" not in said.err
    assert "link" not in said.err
