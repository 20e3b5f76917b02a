"""What a power cut, a full disk or a stray hand leaves: told as what it is, and never taken for a new yard."""

import os
import shlex
import shutil
import socket
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults.commands import Prepared
from tests.faults.processes import ROOT, Processes
from tests.faults.stories import STORIES, commits, in_order
from tests.journeys.gitrepo import GitRepo, environment
from tests.journeys.yard import SIDE, Yard, new_yard, thicken

READING = (("check",), ("figures",), ("audit",), ("change", "list"), ("hull", "list"), ("history",))


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return new_yard(tmp_path)


def emptied(yard: Yard) -> None:
    """A power cut while the ref was written."""
    (yard.root / ".git/refs/heads/main").write_bytes(b"")


def gone(yard: Yard) -> None:
    """The ref was deleted, and is checked out."""
    (yard.root / ".git/refs/heads/main").unlink()


@pytest.mark.parametrize("harm", [emptied, gone])
def test_main_s_ref_after_a_power_cut_is_named_with_the_way_back(yard: Yard, harm: object) -> None:
    assert callable(harm)
    tip = yard.repo.head("main")
    yard.repo.git("tag", "--delete", "demo/r1")  # no other ref tells that this is no new repository
    harm(yard)
    for args in (*READING, ("hull", "add", "002", "--revision", "r1")):
        said = yard(*args)
        assert (said.status, said.out) == (3, ""), args
        assert "the branch main is" in said.err
    way_back = said.err.split("put it back: ")[1].strip()
    for command in way_back.split("; "):
        subprocess.run(shlex.split(command), cwd=yard.root, env=yard.repo.env(), check=True)
    assert yard.repo.head("main") == tip
    assert yard("check").out == "no problems\n"


def test_a_main_that_the_settings_name_and_nobody_has_is_named(yard: Yard) -> None:
    yard.repo.git("branch", "--move", "main", "trunk")
    for args in READING:
        said = yard(*args)
        assert (said.status, said.out) == (3, ""), args
        assert "no local branch main" in said.err
    yard.edit("recipe-track.toml", '"main"', '"trunk"')
    assert yard("check").out == "no problems\n"


def test_a_clone_of_one_other_branch_is_checked_for_what_it_holds(yard: Yard) -> None:
    """As a forge's machine makes it to look at a proposal: main is not there, and nothing is broken."""
    yard.repo.branch("side")
    alone = Yard(yard.repo.clone("alone", "--single-branch", "--branch", "side"))
    said = alone("check")
    assert (said.status, said.out) == (0, "no problems\n")
    assert "main is not in this clone" in said.err
    assert alone("figures").status == 0


@pytest.mark.parametrize("content", [b"", None])
def test_an_empty_head_is_not_no_repository(yard: Yard, content: bytes | None) -> None:
    head = yard.root / ".git/HEAD"
    head.unlink()
    if content is not None:
        head.write_bytes(content)
    said = yard("check", at=yard.root / "models")
    assert said.status == 3
    assert "is damaged" in said.err
    subprocess.run(["sh", "-c", said.err.split("checked out: ")[1]], check=True)
    assert yard("check").out == "no problems\n"


def pipe(path: Path) -> None:
    os.mkfifo(path)


def listening(path: Path) -> None:
    here = Path.cwd()
    os.chdir(path.parent)  # the name of a socket is short
    with socket.socket(socket.AF_UNIX) as opened:
        opened.bind(path.name)
    os.chdir(here)


def device(path: Path) -> None:
    try:
        os.mknod(path, stat.S_IFCHR | 0o666, os.makedev(1, 3))
    except PermissionError:
        pytest.skip("no device can be made here")


@pytest.mark.parametrize("odd", [pipe, listening, device, Path.mkdir])
def test_what_is_no_file_in_the_place_of_a_zone_is_named(yard: Yard, odd: object) -> None:
    assert callable(odd)
    (yard.root / SIDE).unlink()
    odd(yard.root / SIDE)
    said = yard("check")
    assert said.status == 1
    assert f"{SIDE}: it is a " in said.out
    assert yard("figures").status == 1
    refused = yard(
        "change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup"
    )
    assert (refused.status, refused.err.count(SIDE)) == (1, 1), refused.err


def test_a_pipe_is_not_attached_and_no_settings(yard: Yard, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "photo.jpg")
    said = yard("trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "noise", "--severity", "1",
                "--text", "t", "--attach", str(tmp_path / "photo.jpg"))  # fmt: skip
    assert said.status == 2
    assert "it is no file" in said.err
    (yard.root / "recipe-track.toml").unlink()
    os.mkfifo(yard.root / "recipe-track.toml")
    assert "a pipe, and no file" in yard("check").out


def test_settings_that_are_a_link_are_not_read_through_it(yard: Yard, tmp_path: Path) -> None:
    outside = tmp_path / "outside.toml"
    outside.write_text('format = 1\nmain_branch = "side"\n')
    (yard.root / "recipe-track.toml").unlink()
    (yard.root / "recipe-track.toml").symlink_to(outside)
    yard.repo.branch("side")
    said = yard("check")
    assert said.status == 1
    assert "recipe-track.toml: it is a link, and no file" in said.out


def test_a_submodule_among_the_models_is_no_edit(yard: Yard) -> None:
    inner = GitRepo.create(yard.root.parent, name="inner")
    inner.commit("first", files={"materials/odd.toml": "x = 1\n", "model.toml": "y = 2\n"})
    add = (
        "-c",
        "protocol.file.allow=always",
        "submodule",
        "--quiet",
        "add",
        inner.root.as_uri(),
        "models/inner",
    )
    yard.repo.git(*add)
    yard.repo.commit("a submodule", ".gitmodules", "models/inner")
    assert yard("check").out == "no problems\n"
    assert yard.findings() == {}
    thicken(yard)
    said = yard("change", "propose", "--title", "t", "--reason", "too soft underfoot", "--category", "layup")
    assert said.status == 0, said.err
    assert yard.repo.git("diff", "--name-only", "main", f"change/{said.id}").split() == [
        SIDE, f"records/2026/{said.id}.toml",
    ]  # fmt: skip


FULL = """
set -e
mount -t tmpfs -o size=8m tmpfs "$1"
cp -a "$2" "$1/yard"
exec "$3" -m tests.faults.full_disk "$1"
"""


def test_a_full_disk_at_any_step_loses_nothing_and_is_called_one(one: Prepared, tmp_path: Path) -> None:
    """With a little more room each time, until it is enough: what does not fit is taken back."""
    (tmp_path / "disk").mkdir()
    if shutil.which("unshare") is None or subprocess.run(
        ["unshare", "-rm", "mount", "-t", "tmpfs", "tmpfs", str(tmp_path / "disk")], capture_output=True, check=False
    ).returncode:  # fmt: skip
        pytest.skip("no small disk can be mounted here")
    script = ("sh", "-c", FULL, "full", str(tmp_path / "disk"), str(one.yard.root), sys.executable)
    env = one.yard.repo.env("ben") | {
        "PYTHONPATH": str(ROOT), "CHANGE": one.ids["open"], "TODAY": one.yard.repo.today,
    }  # fmt: skip
    done = subprocess.run(
        ["unshare", "-rm", *script], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_file_that_may_not_grow_is_told_and_nothing_is_written(one: Prepared, started: Processes) -> None:
    """Where no disk can be mounted, a limit on the size of files stands for it."""
    before = commits(one.yard)
    said = STORIES[1].start(started, one, file_size=200).ended()
    assert said.status in (1, 3), said.err
    assert "Traceback" not in said.err
    assert commits(one.yard) == before
    in_order(one.yard)


@pytest.mark.process
def test_an_answer_that_cannot_be_written_is_told_from_all_else(yard: Yard, tmp_path: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("there is no /dev/full here")
    command = [sys.executable, "-m", "recipe_track", "-C", str(yard.root)]
    env = yard.repo.env() | {"PYTHONPATH": str(ROOT)}
    with open("/dev/full", "wb") as full:  # noqa: PTH123
        for args in (("check",), ("figures",)):
            done = subprocess.run(
                [*command, *args], stdout=full, stderr=subprocess.PIPE, env=env, check=False
            )
            assert done.returncode == 3
            assert b"the answer cannot be written: No space left on device" in done.stderr
    gone = tmp_path / "gone"
    script = f'cd "{gone}" && rmdir "{gone}" && "{sys.executable}" -m recipe_track check'
    gone.mkdir()
    done = subprocess.run(["sh", "-c", script], capture_output=True, env=env, check=False)
    assert done.returncode == 3
    assert b"the folder that you stand in is gone" in done.stderr
    with environment(yard.repo.env() | {"TMPDIR": "/proc"}):
        assert yard("check").status in (0, 3)
