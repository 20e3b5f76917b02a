"""A hold begins and ends within a day: only a part that moved on between the two days went on over it."""

from pathlib import Path

import pytest

from tests.journeys.yard import Yard, new_yard


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    yard = new_yard(tmp_path)
    trial = yard(
        "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", "delamination",
        "--severity", "4", "--text", "a hollow sound", "--on", "2026-02-02",
    ).id  # fmt: skip
    yard(
        "trial", "decide", trial, "--decision", "rework", "--note", "bonded", "--on", "2026-02-04", who="ben"
    )
    return yard


def test_a_part_moved_on_the_day_of_the_observation_or_of_its_decision_is_no_finding(yard: Yard) -> None:
    """Days hold no hours: a delamination is seen when the part is demoulded, and work goes on once it is decided."""
    told = {}
    for day, state in [("02", "in-mould"), ("03", "demoulded"), ("04", "fitted")]:
        yard("hull", "part", "001", "--part", "deck", "--state", state, "--on", f"2026-02-{day}")
        told[day] = [row["message"] for row in yard.findings().get("hold-ignored", [])]
    assert told["02"] == []
    assert [message.split(",")[0] for message in told["03"]] == ["it went on (demoulded"]
    assert told["04"] == told["03"]  # what was done over a hold stays on record; the next step adds nothing
