"""Trailers and dates, without git."""

import pytest

from recipe_track.history.log import parse_trailers, utc


@pytest.mark.parametrize(
    ("message", "expected"),
    [
        ("Subject\n\nBody\n\nChange: C-2M9XQ4\nReason: soft\n", [("Change", "C-2M9XQ4"), ("Reason", "soft")]),
        ("Subject\n\nReason: a long\n  reason\n\tindeed", [("Reason", "a long reason indeed")]),
        ("Subject\r\n\r\nReason: x\r\n", [("Reason", "x")]),
        ("Subject\n\nChange: C-2M9XQ4\n\nReason: y\n", [("Reason", "y")]),
        ("Subject\n\nChange: A\nChange: B\n", [("Change", "A"), ("Change", "B")]),
        ("Subject\n\nReason:\n", [("Reason", "")]),
        ("Reason: this is the subject", []),
        ("Subject\n\nThis is prose\nReason: mixed in\n", []),
        ("Subject\n\n  Reason: starts with a fold\n", []),
        ("", []),
        ("\n\n", []),
    ],
)  # fmt: skip
def test_trailers_are_the_last_paragraph_of_key_value_lines(
    message: str, expected: list[tuple[str, str]]
) -> None:
    assert list(parse_trailers(message)) == expected


def test_dates_are_utc_and_never_leave_the_calendar() -> None:
    # 2026-01-01T00:00:00Z by `date -u -d @1767225600`
    assert utc(1767225600) == "2026-01-01T00:00:00Z"
    assert utc(-5) == "1970-01-01T00:00:00Z"
    assert utc(10**15) == "9999-12-31T23:59:59Z"
