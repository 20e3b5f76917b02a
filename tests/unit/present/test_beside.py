"""Everything that may be written of a zone has a word for when it changes."""

from recipe_track.present.words.causes import WORDS
from recipe_track.recipe.layup import Zone

TOLD_ELSEWHERE = {"layup", "formerly"}  # side by side, and in the heading


def test_every_key_of_a_zone_has_its_words() -> None:
    assert set(WORDS) | TOLD_ELSEWHERE == set(Zone.model_fields)
