"""The example as a repository, once for looking and once per test for writing; nothing of the machine's git."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

os.environ["TEXTUAL_ANIMATIONS"] = "none"  # read when textual is imported

import pytest

from recipe_track.procedures.example import example_repo, replay
from tests.journeys.gitrepo import environment, neutral_environment, person


@pytest.fixture(autouse=True)
def _own_git(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Work as Ben, with a colour terminal and nobody's git configuration; the cursor need not rest."""
    monkeypatch.setattr("recipe_track.tui.widgets.listing.WALKING_S", 0.0)
    values = neutral_environment(tmp_path / "home") | person("ben")
    values.pop("NO_COLOR", None)
    with environment({**values, "COLORTERM": "truecolor", "TERM": "xterm-256color"}):
        yield


@pytest.fixture(scope="session")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example repository; only for looking."""
    target = tmp_path_factory.mktemp("example") / "yard"
    with environment(neutral_environment(target.parent / "home")):
        replay(example_repo(), target)
    return target


@pytest.fixture
def own_example(tmp_path: Path, example: Path) -> Path:
    """The example repository of one test, to write in."""
    return shutil.copytree(example, tmp_path / "yard")
