"""A git that answers rubbish, or only half: a plain error with the status of our errors, never a traceback."""

import os
import shutil
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from tests.journeys.gitrepo import GitRepo
from tests.recipes import WORKED

pytestmark = pytest.mark.process

RUBBISH = {
    "nothing": "exit 0",
    "text": "echo rubbish",
    "bytes": r"printf '\377\376\000:x\000y\n'",
    "no-version": 'echo "git version twelve"',
}
GARBLED = {
    "half": 'n=$(wc -c < "$0.out"); head -c $((n / 2)) "$0.out"',
    "without-the-end": 'n=$(wc -c < "$0.out"); head -c $((n > 7 ? n - 7 : 0)) "$0.out"',
    "lines-for-zeros": 'tr "\\000" "\\n" < "$0.out"',
    "letters-exchanged": 'tr "0a" "a0" < "$0.out"',
}
COMMANDS = (
    ["check"],
    ["compare", "HEAD", "working"],
    ["history"],
    ["audit"],
    ["change", "list"],
    ["check", "--staged"],
)


def _git(folder: Path, body: str, every: bool) -> Path:
    """A git of its own in a folder; where not every answer is garbled, `--version` is the real one."""
    real = shutil.which("git")
    plain = (
        ""
        if every
        else f'case "$*" in *version*) exec "{real}" "$@";; esac\n"{real}" "$@" > "$0.out"; status=$?\n'
    )
    program = folder / "git"
    program.write_text(f"#!/bin/sh\n{plain}{body}\n{'' if every else 'exit $status'}\n")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    return folder


def _run(yard: GitRepo, folder: Path, *args: str) -> subprocess.CompletedProcess[str]:
    env = {**yard.env(), "PATH": f"{folder}{os.pathsep}{os.environ['PATH']}"}
    call = [sys.executable, "-m", "recipe_track", "-C", str(yard.root), *args]
    return subprocess.run(
        call, env=env, capture_output=True, text=True, errors="replace", timeout=60, check=False
    )


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> GitRepo:
    made = GitRepo.create(tmp_path_factory.mktemp("rubbish"))
    for path in sorted(WORKED.rglob("*.toml")):
        made.write(path.relative_to(WORKED).as_posix(), path.read_text(encoding="utf-8"))
    made.commit("First issue")
    return made


@pytest.mark.parametrize("rubbish", RUBBISH)
def test_a_git_that_prints_rubbish_is_told(yard: GitRepo, tmp_path: Path, rubbish: str) -> None:
    done = _run(yard, _git(tmp_path, RUBBISH[rubbish], every=True), "compare")
    assert (done.returncode, done.stdout) == (3, "")
    assert "Traceback" not in done.stderr
    assert done.stderr.startswith("recipe-track: ")


@pytest.mark.parametrize("garbled", GARBLED)
def test_a_git_that_prints_half_ends_in_a_plain_word(yard: GitRepo, tmp_path: Path, garbled: str) -> None:
    folder = _git(tmp_path, GARBLED[garbled], every=False)
    for command in COMMANDS:
        done = _run(yard, folder, *command)
        assert done.returncode in (0, 1, 2, 3), (command, done)
        assert "Traceback" not in done.stderr, (command, done.stderr)
        assert "mistake of the program" not in done.stderr, (command, done.stderr)
