"""What a person may answer on a terminal."""

import click
import pytest

from recipe_track.cli.writing import ask_one

ZONES = ("deck/side", "hull/bottom")
HULLS = tuple(f"{n:03}" for n in range(11, 31))


def answering(monkeypatch: pytest.MonkeyPatch, *answers: str) -> None:
    left = list(answers)
    monkeypatch.setattr(click, "prompt", lambda words, err: left.pop(0))


def test_a_zone_is_named_or_counted_in_the_list(monkeypatch: pytest.MonkeyPatch) -> None:
    for answer in ("2", "hull/bottom"):
        answering(monkeypatch, answer)
        assert ask_one(None, "--zone", "zone", ZONES, asks=True) == "hull/bottom"


def test_the_number_of_a_hull_is_never_a_place_in_the_list(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """With twenty hulls from 011 on, the twelfth would be 022."""
    answering(monkeypatch, "12", "012")
    assert ask_one(None, "--hull", "hull", HULLS, asks=True) == "012"
    said = capsys.readouterr().err
    assert "   1  011" not in said
    assert "did you mean `012`" in said


def test_what_is_not_in_the_list_is_asked_again_with_the_nearest_name(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answering(monkeypatch, "deck/sde", "0", "3", "deck/side")
    assert ask_one(None, "--zone", "zone", ZONES, asks=True) == "deck/side"
    assert "did you mean `deck/side`" in capsys.readouterr().err
