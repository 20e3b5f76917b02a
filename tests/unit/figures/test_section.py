"""The bending stiffness of stiffeners against closed forms of the strength of materials."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from recipe_track.figures.craft import figures_of
from recipe_track.figures.plies import layer_plies
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.craft import Model, Settings
from recipe_track.recipe.layup import Layer, Section, section_stated
from recipe_track.recipe.snapshot import ModelTree, PartTree, Snapshot
from tests.recipes import case, materials, part, zone

UPTAKE = {"surface_uptake_g_m2": {"infusion": 0}, "perforation_uptake_g_m2_mm": {"infusion": 0}}


def isotropic(e_mpa: float) -> dict[str, Any]:
    """A layer of known modulus, whatever its thickness."""
    return {"kind": "core", "density_kg_m3": 100, "e_inplane_mpa": e_mpa, "g_mpa": 10, **UPTAKE}


USING = materials(
    stiff=isotropic(20000), half=isotropic(10000), light=isotropic(0), wood=isotropic(5000),
)  # fmt: skip
WALL = [{"material": "stiff", "thickness_mm": 2.0}]


def stiffener(
    layup: list[dict[str, Any]] = WALL, plate: list[dict[str, Any]] | None = None, **keys: Any
) -> ZoneFigures:
    given: dict[str, Any] = {
        "form": "stiffener", "length_m": 1.0, "girth_mm": 180.0,
        "former": {"material": "light", "section_mm2": 2400, "height_mm": 60}, **keys,
    }  # fmt: skip
    if plate is not None:
        given = {"attached": "hull/bottom", "effective_width_mm": 100, "attached_axis": "x", **given}
    own = case(layup, name="hull/girder", using=USING, **given)
    return zone_figures([replace(own, attached=case(plate, using=USING) if plate else None)])[0]


def by_strips(rows: list[tuple[float, float, float, float]], strips: int = 20000) -> tuple[float, float]:
    """EI and neutral axis of rectangles (E, width, bottom, top), summed over thin horizontal strips."""
    edges = np.linspace(min(r[2] for r in rows), max(r[3] for r in rows), strips + 1)
    z, dz = (edges[:-1] + edges[1:]) / 2, np.diff(edges)
    ea = sum(e * width * ((z > low) & (z < top)) for e, width, low, top in rows) * dz
    axis = (ea * z).sum() / ea.sum()
    return float((ea * (z - axis) ** 2).sum()), float(axis)


def test_a_box_of_webs_and_crown_alone() -> None:
    """Former 40 × 60 mm, wall 2 mm of 20 GPa; a girth of 160 mm leaves no flanges."""
    found = stiffener(girth_mm=160.0)
    ei, axis = by_strips([(20e3, 4.0, 0, 60), (20e3, 40.0, 60, 62)])
    assert found.ei_stiffener_kn_m2 == pytest.approx(ei * 1e-9, rel=1e-4)
    assert found.neutral_axis_mm == pytest.approx(axis, rel=1e-4)


def test_a_hat_on_a_plate() -> None:
    """Plate of two materials below, two flanges of 10 mm, webs, a former that carries, crown."""
    found = stiffener(
        [{"material": "stiff", "thickness_mm": 2.0}, {"material": "half", "thickness_mm": 1.0}],
        plate=[{"material": "half", "thickness_mm": 5.0}, {"material": "stiff", "thickness_mm": 3.0}],
        former={"material": "wood", "section_mm2": 2400, "height_mm": 60},
    )
    rows = [
        (10e3, 100.0, -8, -3), (20e3, 100.0, -3, 0),
        (20e3, 20.0, 0, 2), (10e3, 20.0, 2, 3),
        (20e3, 4.0, 0, 60), (10e3, 2.0, 0, 60), (5e3, 40.0, 0, 60),
        (20e3, 40.0, 60, 62), (10e3, 40.0, 62, 63),
    ]  # fmt: skip
    ei, axis = by_strips(rows, 71000)
    assert found.ei_stiffener_kn_m2 == pytest.approx(ei * 1e-9, rel=1e-6)
    assert found.neutral_axis_mm == pytest.approx(axis, rel=1e-5)


def test_a_coating_under_the_plate_changes_nothing() -> None:
    plate = [{"material": "stiff", "thickness_mm": 3.0}]
    coated = stiffener(plate=[{"material": "gelcoat", "thickness_mm": 0.8}, *plate])
    assert coated.ei_stiffener_kn_m2 == pytest.approx(stiffener(plate=plate).ei_stiffener_kn_m2)


def test_a_fabric_counts_with_its_modulus_along_the_stiffener() -> None:
    """A line of one direction along x: E1 of its ply; across: E2 (1/S̄11 of an orthotropic ply)."""
    along, across = (stiffener([{"material": "uni-600", "angle_deg": a}]) for a in (0, 90))
    ply = layer_plies(Layer(material="uni-600"), part(), USING).sub_plies[0]
    ratio = (along.ei_stiffener_kn_m2 or 0) / (across.ei_stiffener_kn_m2 or 1)
    assert ratio == pytest.approx(ply.e1_pa / ply.e2_pa)


def test_a_former_is_square_unless_its_height_is_stated() -> None:
    def outline(girth_mm: float, **keys: float) -> Section | None:
        former = {"material": "light", "section_mm2": 2500.0, **keys}
        return section_stated(zone(WALL, form="stiffener", length_m=1.0, girth_mm=girth_mm, former=former))

    square, tall = outline(170.0), outline(245.0, height_mm=100.0)
    assert square is not None
    assert tall is not None
    assert (square.crown_mm, square.height_mm, square.flange_mm) == pytest.approx((50, 50, 10))
    assert (tall.crown_mm, tall.height_mm, tall.flange_mm) == pytest.approx((25, 100, 10))
    assert outline(148.0) is None


PLATE = [{"material": "uni-600", "angle_deg": 90, "plies": 5}]


def test_without_a_stated_axis_the_weaker_one_of_the_plate_counts() -> None:
    weak, strong = (stiffener(plate=PLATE, attached_axis=axis) for axis in ("x", "y"))
    silent = stiffener(plate=PLATE, attached_axis=None)
    assert (strong.ei_stiffener_kn_m2 or 0) > 1.1 * (weak.ei_stiffener_kn_m2 or 0)
    assert silent.ei_stiffener_kn_m2 == weak.ei_stiffener_kn_m2
    assert any("weaker direction" in note for note in silent.notes)


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        ({"former": None}, "without a former"),
        ({"girth_mm": 150.0}, "does not reach around"),
        ({}, "attached to no zone"),
        ({"attached": "hull/bottom"}, "no effective width"),
        ({"attached": "hull/bottom", "effective_width_mm": 90}, "`hull/bottom` is not at hand"),
    ],
)  # fmt: skip
def test_what_is_missing_for_a_section_is_said(keys: dict[str, Any], says: str) -> None:
    found = stiffener(**keys)
    assert any(says in note for note in found.notes), found.notes
    assert (found.ei_stiffener_kn_m2 is None) == (says in ("without a former", "does not reach around"))


def test_layers_of_partial_coverage_are_left_out_and_named() -> None:
    capped = stiffener([*WALL, {"material": "stiff", "thickness_mm": 4, "coverage_fraction": 0.3}])
    assert capped.ei_stiffener_kn_m2 == stiffener().ei_stiffener_kn_m2
    assert any(note.endswith("partial coverage: 2") for note in capped.notes)


def test_a_plate_has_no_section() -> None:
    plate = zone_figures([case(PLATE)])[0]
    assert (plate.ei_stiffener_kn_m2, plate.neutral_axis_mm) == (None, None)


def test_the_figures_of_a_model_find_the_attached_zone() -> None:
    keys = {"attached": "hull/bottom", "effective_width_mm": 100.0, "attached_axis": "x"}
    former = {"material": "light", "section_mm2": 2400.0, "height_mm": 60.0}
    zones = {
        "bottom": zone(PLATE),
        "girder": zone(WALL, form="stiffener", length_m=1.0, girth_mm=180.0, former=former, **keys),
    }
    tree = ModelTree("m", Model(origin="here"), {"hull": PartTree("hull", part(), zones)})
    girder = figures_of(Snapshot(Settings(format=1), USING, None, {"m": tree}), "m").zones[1]
    assert girder.ei_stiffener_kn_m2 == stiffener(plate=PLATE).ei_stiffener_kn_m2
