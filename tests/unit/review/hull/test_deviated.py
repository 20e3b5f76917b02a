"""A layup with layers left out, added and substituted, by the lines of the release."""

from datetime import date

import pytest

from recipe_track.figures.materials import NotComputable
from recipe_track.recipe.layup import Layer
from recipe_track.recipe.records import DeviatingLayer, Deviation
from recipe_track.review.hull.deviated import Contents, built_zones, deviated_layup
from tests.recipes import case, materials

LAYUP = (
    Layer(material="csm-300"),
    Layer(material="biax-800", plies=2, angle_deg=30, fibre_mass_fraction=0.6),
    Layer(material="pvc-80", thickness_mm=20),
)


def told(*layers: dict[str, object]) -> list[tuple[str, int]]:
    changes = [DeviatingLayer.model_validate(layer) for layer in layers]
    return [(one.material, one.plies) for one in deviated_layup(LAYUP, changes, materials())]


LEFT_OUT = {"line": 2, "material": "biax-800", "action": "left-out"}
SUBSTITUTED = {"line": 2, "material": "biax-800", "action": "substituted", "instead": "wr-600"}
ADDED = {"line": 1, "material": "csm-300", "action": "added", "plies": 2}


def test_layers_change_where_the_release_has_them() -> None:
    assert told(LEFT_OUT) == [("csm-300", 1), ("biax-800", 1), ("pvc-80", 1)]
    assert told({**LEFT_OUT, "plies": 2}) == [("csm-300", 1), ("pvc-80", 1)]
    assert told(SUBSTITUTED) == [("csm-300", 1), ("biax-800", 1), ("wr-600", 1), ("pvc-80", 1)]
    assert told(ADDED) == [("csm-300", 1), ("csm-300", 2), ("biax-800", 2), ("pvc-80", 1)]


def test_line_numbers_stay_those_of_the_release() -> None:
    first = {"line": 1, "material": "csm-300", "action": "left-out"}
    assert told(first, LEFT_OUT) == told(LEFT_OUT, first) == [("biax-800", 1), ("pvc-80", 1)]


def test_another_material_lies_at_the_same_angle_with_its_own_fraction() -> None:
    changes = [DeviatingLayer.model_validate(SUBSTITUTED)]
    laid = deviated_layup(LAYUP, changes, materials())[2]
    assert (laid.angle_deg, laid.fibre_mass_fraction, laid.plies) == (30, None, 1)


@pytest.mark.parametrize(
    "layer",
    [
        {**LEFT_OUT, "line": 4},
        {**LEFT_OUT, "plies": 3},
        {**LEFT_OUT, "material": "wr-600"},
        {"line": 1, "material": "pvc-80", "action": "added"},
    ],
)
def test_what_cannot_be_is_said(layer: dict[str, object]) -> None:
    with pytest.raises(NotComputable):
        told(layer)


def deviation(area_fraction: float, **layer: object) -> Deviation:
    return Deviation.model_validate(
        {
            "kind": "deviation", "by": "A <a@b.example>", "on": date(2026, 1, 1),
            "type": "nonconformity", "hull": "1", "zone": "hull/bottom", "text": "t",
            "layers": [{**LEFT_OUT, **layer}], "area_fraction": area_fraction,
        }
    )  # fmt: skip


def test_several_partial_departures_add_up_in_mass() -> None:
    given = case([layer.model_dump(exclude_unset=True) for layer in LAYUP], area_m2=2.0)
    whole = built_zones([given], {})["hull/bottom"]
    tenth = built_zones([given], {"hull/bottom": [deviation(0.1)]})["hull/bottom"]
    both = built_zones([given], {"hull/bottom": [deviation(0.1), deviation(0.3)]})["hull/bottom"]
    full = built_zones([given], {"hull/bottom": [deviation(1.0)]})["hull/bottom"]
    lost = full.mass_kg - whole.mass_kg
    assert lost < 0
    assert whole.deviating is None
    assert tenth.mass_kg - whole.mass_kg == pytest.approx(0.1 * lost)
    assert both.mass_kg - whole.mass_kg == pytest.approx(0.4 * lost)
    assert full.deviating is not None
    assert full.deviating.mass_kg == pytest.approx(full.mass_kg)


def test_a_departure_that_cannot_be_computed_says_so_and_changes_nothing() -> None:
    given = case([layer.model_dump(exclude_unset=True) for layer in LAYUP], area_m2=2.0)
    built = built_zones([given], {"hull/bottom": [deviation(1.0, line=9)]})["hull/bottom"]
    assert built.trouble is not None
    assert built.mass_kg == built.released.mass_kg


def test_an_apparent_fibre_fraction_needs_a_believable_weight() -> None:
    inside = Contents(fibre_kg=6.0, fabric_resin_kg=4.0, other_kg=5.0)
    assert inside.apparent_fibre_fraction(15.0) == pytest.approx(0.6)
    assert inside.apparent_fibre_fraction(17.0) == pytest.approx(0.5)
    assert inside.apparent_fibre_fraction(11.0) is None  # less than its fibre
