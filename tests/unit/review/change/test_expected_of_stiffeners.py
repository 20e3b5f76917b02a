"""What a change of a stiffener is expected to do is more than its weight."""

import pytest

from recipe_track.figures.craft import figures_of
from recipe_track.review.change.expected import departures, expected_of
from tests.unit.impact.test_stiffener_causes import CAP, craft, girder


def test_a_cap_is_expected_to_stiffen() -> None:
    before, after = craft(girder()), craft(girder(CAP))
    expected = expected_of(before, after, "craft").zones["hull/girder"]
    old, new = (figures_of(side, "craft").zones[1] for side in (before, after))
    assert expected.ei_stiffener_kn_m2 == pytest.approx(
        (new.ei_stiffener_kn_m2 or 0) - (old.ei_stiffener_kn_m2 or 0), abs=1e-4
    )
    assert expected.beam_deflection_mm is not None
    assert expected.beam_deflection_mm < 0


def test_a_record_of_before_that_expects_no_stiffness_still_holds() -> None:
    now = expected_of(craft(girder()), craft(girder(CAP)), "craft")
    bare = now.zones["hull/girder"].model_copy(
        update={"ei_stiffener_kn_m2": None, "beam_deflection_mm": None}
    )
    then = now.model_copy(update={"zones": {"hull/girder": bare}})
    assert departures(then, now) == ()
