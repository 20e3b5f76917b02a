"""The recipe that rules are provoked with."""

import pytest

from recipe_track.recipe.snapshot import Snapshot
from tests.recipes import WORKED, read_recipe


@pytest.fixture
def snapshot() -> Snapshot:
    return read_recipe(WORKED)
