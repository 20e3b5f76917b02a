"""Every reference case within its tolerance; see case.py for what a status proves."""

import pytest

from tests.reference.case import Case
from tests.reference.cases import CASES


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_reference(case: Case) -> None:
    assert case.difference() <= case.tolerance, (case.expected, case.computed())


def test_nothing_remembered_and_unverified_is_taken_for_published() -> None:
    assert all(case.basis == "own" for case in CASES if case.status == "memory_unverified")
