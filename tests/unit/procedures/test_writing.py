"""Ids of new records."""

import re

import pytest

from recipe_track.procedures import writing as ids
from recipe_track.recipe.records import LETTERS


@pytest.mark.parametrize("kind", LETTERS)
def test_an_id_is_the_letter_of_its_kind_and_six_characters(kind: str) -> None:
    found = {ids.new_id(kind, ()) for _ in range(50)}
    assert all(re.fullmatch(rf"{LETTERS[kind]}-[0-9A-HJKMNP-TV-Z]{{6}}", one) for one in found)
    assert len(found) == 50


def test_a_taken_id_is_not_drawn_again(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = iter("000000000000000001")
    monkeypatch.setattr(ids.secrets, "choice", lambda _: next(drawn))
    assert ids.new_id("trial", {"T-000000"}) == "T-000001"
