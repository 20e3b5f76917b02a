"""Causes in words: what changed so little that no digit shows it is no line."""

from recipe_track.impact.effects import Delta, ZoneImpact
from recipe_track.present.words.causes import causes_words


def zone_with(delta: float) -> ZoneImpact:
    """A zone whose stiffness changed by so much through its layup."""
    return ZoneImpact(
        zone="deck/side",
        before_zone="deck/side",
        status="changed",
        reversed=False,
        layers=(),
        figures={"ei_x_kn_m2_per_m": Delta(7.0, 7.0 + delta, delta, 100 * delta / 7.0)},
        causes={"ei_x_kn_m2_per_m": {"layup": delta}},
        causes_note=None,
        edits=(),
        edits_note=None,
    )


def test_a_change_is_told_with_its_cause() -> None:
    assert list(causes_words(zone_with(0.25), "EUR")) == ["EI along +0.25 kN·m²/m because of layup +0.25"]


def test_a_change_too_small_to_show_is_no_line() -> None:
    """Another gelcoat moves the mid-plane by a hair; the digits that stand on paper do not change."""
    assert list(causes_words(zone_with(1e-6), "EUR")) == []
