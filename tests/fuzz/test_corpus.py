"""What fuzzing has found, and a few mutants of every day: `python -m tests.fuzz 100000` tries more."""

from pathlib import Path

import pytest

from tests.fuzz.__main__ import CORPUS, mutant
from tests.fuzz.yard import base, go_through
from tests.laws.work import calls_of

FINDS = sorted(file.relative_to(CORPUS) for file in CORPUS.rglob("*.toml"))
MOST_CALLS = 5_000_000
OF_EVERY_DAY = 60


@pytest.mark.parametrize("find", FINDS, ids=str)
def test_what_was_found_once_is_mended(find: Path) -> None:
    path, data = Path(*find.parts[1:]).as_posix(), (CORPUS / find).read_bytes()
    base()
    calls_of(lambda: go_through(path, data), MOST_CALLS)


@pytest.mark.parametrize("number", range(OF_EVERY_DAY))
def test_a_mutant_is_read_told_or_computed(number: int) -> None:
    path, data = mutant(number)
    calls_of(lambda: go_through(path, data), MOST_CALLS)


def test_the_mutants_are_of_every_sort() -> None:
    came = {go_through(*mutant(number)) for number in range(OF_EVERY_DAY)}
    assert {"told", "compared"} <= came
