"""What the faults are tried on."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.commands import Prepared, prepared
from tests.faults.processes import Processes, processes


@pytest.fixture(scope="session")
def started(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Processes]:
    """Where commands are started from."""
    with processes(tmp_path_factory.mktemp("runs")) as opened:
        yield opened


@pytest.fixture
def one(tmp_path: Path) -> Prepared:
    """A yard with something to do for every command."""
    return prepared(tmp_path)
