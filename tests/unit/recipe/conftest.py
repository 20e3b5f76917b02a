"""The yard that records are held against."""

import pytest

from recipe_track.recipe.snapshot import Snapshot
from tests.unit.recipe.yard import yard as made


@pytest.fixture
def yard() -> Snapshot:
    return made()
