"""Nothing of the machine's git, no animation, and an example to write in."""

import os
from collections.abc import Iterator
from pathlib import Path

os.environ["TEXTUAL_ANIMATIONS"] = "none"  # read when textual is imported

import pytest

from tests.example import copy_of_example
from tests.journeys.gitrepo import environment, neutral_environment, person


@pytest.fixture(autouse=True)
def _own_git(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Work as Ben, with a colour terminal and nobody's git configuration; the cursor need not rest."""
    monkeypatch.setattr("recipe_track.tui.widgets.listing.WALKING_S", 0.0)
    values = neutral_environment(tmp_path / "home") | person("ben")
    values.pop("NO_COLOR", None)
    with environment({**values, "COLORTERM": "truecolor", "TERM": "xterm-256color"}):
        yield


@pytest.fixture
def own_example(tmp_path: Path, example: Path) -> Path:
    """The example repository of one test, to write in."""
    return copy_of_example(tmp_path / "yard")
