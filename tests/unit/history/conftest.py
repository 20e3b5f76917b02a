"""A small repository on branch main to ask questions of."""

from pathlib import Path

import pytest

from tests.journeys.gitrepo import GitRepo

ZONE = "models/pb/deck/side.toml"


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    """One zone, committed once."""
    repo = GitRepo.create(tmp_path)
    repo.commit("first", files={ZONE: "t = 1\n", "recipe-track.toml": "format = 1\n"})
    return repo
