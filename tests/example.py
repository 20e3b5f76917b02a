"""The example as a repository: replayed once a process for looking, copied for tests that write in it."""

import shutil
import tempfile
from functools import cache
from pathlib import Path

from recipe_track.procedures.example import example_repo, replay
from tests.journeys.gitrepo import environment, neutral_environment

_FOLDER = tempfile.TemporaryDirectory(prefix="recipe-track-example-")


@cache
def example_to_look_at() -> Path:
    """Where the example lies, replayed by nobody's git configuration; its home is `home` beside it."""
    folder = Path(_FOLDER.name)
    with environment(neutral_environment(folder / "home")):
        replay(example_repo(), folder / "yard")
    return folder / "yard"


def copy_of_example(target: Path) -> Path:
    """The example to write in."""
    shutil.copytree(example_to_look_at(), target, symlinks=True)
    return target
