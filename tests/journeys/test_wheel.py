"""The wheel carries the example and the schemas: unpacked somewhere else, it builds the demo."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.journeys.gitrepo import neutral_environment

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run([*command, "--wheel-dir", str(folder), str(ROOT)], check=True, capture_output=True)
    (wheel,) = folder.glob("recipe_track-*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


def test_it_holds_the_data_and_the_type_marker(unpacked: Path) -> None:
    package = unpacked / "recipe_track"
    assert (package / "_data" / "example_repo" / "history.toml").is_file()
    assert (package / "_data" / "schemas" / "zone.schema.json").is_file()
    assert (package / "py.typed").is_file()
    assert (package / "procedures" / "starter" / "recipe-track.toml").is_file()
    assert not list(unpacked.glob("tests"))


def test_it_builds_the_demo_and_a_new_repository(unpacked: Path, tmp_path: Path) -> None:
    env = {**neutral_environment(tmp_path / "home"), "PYTHONPATH": str(unpacked)}
    env |= {"GIT_AUTHOR_NAME": "Ada", "GIT_AUTHOR_EMAIL": "ada@quay.example"}
    env |= {"GIT_COMMITTER_NAME": "Ada", "GIT_COMMITTER_EMAIL": "ada@quay.example"}

    def program(*args: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "recipe_track", *args]
        return subprocess.run(command, cwd=tmp_path, env=env, capture_output=True, text=True, check=False)

    where = subprocess.run(
        [sys.executable, "-c", "import recipe_track; print(recipe_track.__file__)"],
        cwd=tmp_path, env=env, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert where.stdout.startswith(os.fspath(unpacked))
    demo = program("demo", "demo")
    assert demo.returncode == 0, demo.stderr
    assert "deck/deck-support" in demo.stdout
    assert program("new", "yard").returncode == 0
    assert program("-C", "yard", "check").returncode == 0
