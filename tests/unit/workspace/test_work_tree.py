"""The work tree as it lies: every file that is not a plain one is named, nothing outside is read."""

import os
import socket
from pathlib import Path

import pytest

from recipe_track.cli.main import run
from recipe_track.errors import InvalidRecipe, RepositoryError
from recipe_track.tui.session import _stamps
from recipe_track.workspace import open_workspace
from recipe_track.workspace.assembly import Parser, assemble, parse
from recipe_track.workspace.work_tree import look, read_settings, working
from tests.journeys.gitrepo import GitRepo, environment
from tests.recipes import WORKED

SIDE = "models/demo/deck/side.toml"


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    made = GitRepo.create(tmp_path)
    for path in sorted(WORKED.rglob("*.toml")):
        made.write(path.relative_to(WORKED).as_posix(), path.read_text(encoding="utf-8"))
    made.commit("First issue")
    return made


def _put(place: Path, what: str) -> None:
    place.unlink(missing_ok=True)
    if what == "a pipe":
        os.mkfifo(place)
    elif what == "a socket":
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(os.path.relpath(place))
    elif what == "a folder":
        place.mkdir()
    else:
        place.symlink_to("../../../materials/wr-600.toml")


@pytest.mark.parametrize("what", ["a pipe", "a socket", "a folder", "a link"])
def test_what_lies_in_the_place_of_a_zone_is_named(
    yard: GitRepo, what: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(yard.root)
    _put(yard.root / SIDE, what)
    found = look(yard.root, with_records=True)
    assert found.odd[SIDE].message == f"it is {what}, and no file"
    assert SIDE not in found.files
    with environment(yard.env()):
        for command in (["check"], ["figures"], ["compare"]):
            assert run(["-C", str(yard.root), *command]) == 1
            told = capsys.readouterr()
            assert f"{SIDE}: it is {what}, and no file" in told.out + told.err


def test_what_only_follows_from_it_is_not_told(yard: GitRepo) -> None:
    _put(yard.root / "materials/wr-600.toml", "a pipe")
    found = look(yard.root, with_records=True)
    problems = assemble(parse(found.files, Parser(), found.odd), with_records=True).problems
    assert [(p.file, p.code) for p in problems] == [("materials/wr-600.toml", "not-a-plain-file")]


@pytest.mark.parametrize("what", ["a pipe", "a link", "a folder"])
def test_settings_that_are_no_file_are_named_and_nothing_is_read_through_them(
    yard: GitRepo, what: str
) -> None:
    outside = yard.root.parent / "outside.toml"
    outside.write_text('format = 1\nmain_branch = "theirs"\n')
    place = yard.root / "recipe-track.toml"
    _put(place, what)
    if what == "a link":
        place.unlink()
        place.symlink_to(outside)
    assert read_settings(yard.root)[0] is None
    with environment(yard.env()), open_workspace(yard.root) as ws:
        assert ws.main_branch == "main"
        with pytest.raises(InvalidRecipe) as raised:
            assert ws.settings
    assert [p.message for p in raised.value.problems] == [f"it is {what}, and no file"]


def test_a_link_is_never_followed(tmp_path: Path) -> None:
    """What lies outside of the repository is never read; a link that leads nowhere is not overlooked."""
    (tmp_path / "outside.toml").write_text("secret = 1\n")
    (tmp_path / "yard/materials").mkdir(parents=True)
    (tmp_path / "yard/materials/a.toml").symlink_to("../../outside.toml")
    (tmp_path / "yard/materials/b.toml").symlink_to("nowhere")
    (tmp_path / "yard/materials/c.toml").symlink_to("c.toml")
    (tmp_path / "yard/materials/photos").symlink_to(tmp_path)
    (tmp_path / "yard/models").symlink_to(tmp_path)
    found = look(tmp_path / "yard", with_records=True)
    assert found.files == {}
    assert sorted(found.odd) == ["materials/a.toml", "materials/b.toml", "materials/c.toml", "models"]
    assert found.odd["models"].hint == "put the folder itself here"


def test_a_file_larger_than_any_recipe_is_named_without_being_read(tmp_path: Path) -> None:
    (tmp_path / "materials").mkdir()
    with (tmp_path / "materials/scan.toml").open("wb") as file:
        file.truncate(400_000_000)
    found = look(tmp_path, with_records=True)
    assert found.files == {}
    assert (
        found.odd["materials/scan.toml"].message
        == "this file has 400,000,000 bytes; at most 1,000,000 are read"
    )


def test_folders_in_folders_are_walked_however_deep(tmp_path: Path) -> None:
    deep = tmp_path / "models"
    for _ in range(1200):
        deep = deep / "a"
        deep.mkdir(parents=True)
    (deep / "z.toml").write_text("x = 1\n")
    try:
        assert list(working(tmp_path, with_records=True)) == ["models/" + "a/" * 1200 + "z.toml"]
        assert len(tuple(_stamps(tmp_path / "models"))) == 1202
    finally:  # pytest's own cleaning up would not reach the bottom
        (deep / "z.toml").unlink()
        while deep != tmp_path:
            deep.rmdir()
            deep = deep.parent


def test_a_capital_ending_is_not_overlooked(tmp_path: Path) -> None:
    (tmp_path / "materials").mkdir()
    (tmp_path / "materials/Paint.TOML").write_text("x = 1\n")
    parsed = parse(working(tmp_path, with_records=False), Parser())
    assert [p.code for p in parsed.problems["materials/Paint.TOML"]] == ["misplaced-file"]


def test_a_folder_that_may_not_be_read_is_an_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "materials").mkdir()

    def refuse(_path: Path) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("recipe_track.workspace.work_tree.os.scandir", refuse)
    with pytest.raises(RepositoryError, match="materials cannot be read: Permission denied"):
        look(tmp_path, with_records=False)
