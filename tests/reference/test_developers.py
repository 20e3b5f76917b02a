"""The table of reference cases in DEVELOPERS.md is generated, not typed."""

from tests.reference.case import Case
from tests.reference.cases import CASES
from tests.reference.developers import DEVELOPERS, refreshed


def test_the_table_is_in_step() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    assert refreshed(text) == text, "write it anew with `python -m tests.reference.developers`"


def test_every_case_stands_in_it() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    cases: list[Case] = list(CASES)
    assert cases
    assert all(f"| {case.id} | " in text for case in cases)
