"""The calculation sheet can be redone: every formula gives its result from the numbers put in."""

import math
import re
from typing import Any

import numpy as np
import pytest

from recipe_track.figures.craft import zone_cases
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.working import CalculationSheet, Line, working_of
from recipe_track.figures.zone import zone_figures
from recipe_track.recipe.craft import Prices
from tests.recipes import WORKED, case, changed, materials, read_recipe

LAMINA = {
    "e1_gpa": 40.0, "e2_gpa": 11.0, "g12_gpa": 3.9, "nu12": 0.27, "thickness_mm": 0.5, "density_kg_m3": 1900,
}  # fmt: skip
USING = changed(materials(), "biax-090", lamina=LAMINA, areal_mass_g_m2=600)
PANEL = {
    "span_mm": 450, "length_mm": 900, "edges": "simply-supported", "pressure_kpa": 18.0, "span_axis": "x",
    "patch": {"force_kn": 1.0, "side_mm": 100},
}  # fmt: skip
ALL_KINDS: list[dict[str, Any]] = [
    {"material": "gelcoat", "thickness_mm": 0.6},
    {"material": "csm-300", "process": "hand-layup"},
    {"material": "hybrid-500", "angle_deg": 20, "flipped": True},
    {"material": "biax-090", "plies": 2},
    {"material": "honeycomb", "thickness_mm": 12, "angle_deg": 30},
    {"material": "pvc-80", "thickness_mm": 8, "uptake_g_m2": 300},
    {"material": "wr-600"},
    {"material": "biax-800", "resin": "polyester"},
    {"material": "uni-600", "coverage_fraction": 0.4},
]


def prices() -> Prices:
    names = ("uni-600", "wr-600", "biax-800", "biax-090", "hybrid-500", "csm-300", "vinylester", "polyester")
    by_kg = {name: {"per_kg": 4.0, "labour_min_per_m2": 5.0} for name in (*names, "gelcoat")}
    return Prices.model_validate(
        {
            "currency": "EUR",
            "labour_per_hour": 48.0,
            "materials": {
                **by_kg,
                "honeycomb": {"per_m2": 30.0},
                "pvc-80": {"per_m3": 900.0},
                "bond-paste": {"per_kg": 9.0, "labour_min_per_m": 4.0},
            },
        }
    )


PLATE = case(ALL_KINDS, using=USING, panel=PANEL, prices=prices(), area_m2=2.4, overlap_fraction=0.06)
STIFFENER = case(
    [{"material": "biax-800", "plies": 2}, {"material": "uni-600", "coverage_fraction": 0.3}],
    name="hull/girder", using=USING, prices=prices(), form="stiffener", length_m=3.0, girth_mm=230,
    former={"material": "pvc-80", "section_mm2": 2500},
)  # fmt: skip
JOINT = case(
    [], name="hull/flange", using=USING, prices=prices(), form="joint", length_m=6.0, paste="bond-paste",
    kg_per_m=0.8,
)  # fmt: skip
HAT = case(
    [
        {"material": "gelcoat", "thickness_mm": 0.4, "coverage_fraction": 0.5},
        {"material": "uni-600", "plies": 2},
        {"material": "uni-600", "on": "crown"},
    ],
    name="hull/hat", using=changed(
        changed(USING, "uni-600", void_fraction={"infusion": 0.03}), "gelcoat",
        wet_thickness_mm=0.75, cured_thickness_mm=0.6, liquid_density_kg_m3=1150.0,
    ),
    prices=prices(), form="stiffener", length_m=3.0, former={"material": "pvc-80"},
    section={"crown_mm": 60, "height_mm": 80, "base_mm": 90, "flange_mm": 50},
    beam={"span_mm": 1200, "load_width_mm": 450, "pressure_kpa": 18.0, "ends": "simply-supported"},
)  # fmt: skip
USES = [f"{load}{key}_use" for load in ("", "patch_") for key in ("strain", "core_shear", "wrinkling")] + [
    "core_crush_use"
]
SHEETS = {c.name: working_of(c) for c in (PLATE, STIFFENER, HAT, JOINT)}


def all_lines(sheet: CalculationSheet) -> list[Line]:
    return [line for section in sheet.sections for line in section.lines]


def redone(line: Line) -> float:
    """The formula worked out again from the numbers put in."""
    numbers = {value.symbol: value.number for value in line.inputs}
    text = re.sub(r"\{([^{}]*)\}", lambda found: repr(numbers[found.group(1)]), line.formula)
    text = text.replace("·", "*").replace("−", "-").replace("^", "**").replace("√", "sqrt")
    assert set(re.sub(r"[\d.e+\-*/() ]|sqrt|π", "", text)) == set(), text
    return float(eval(text.replace("π", "pi"), {"__builtins__": {}}, {"sqrt": math.sqrt, "pi": math.pi}))


@pytest.mark.parametrize("zone", list(SHEETS))
def test_every_formula_gives_its_result(zone: str) -> None:
    derived = [line for line in all_lines(SHEETS[zone]) if line.inputs and line.formula]
    assert len(derived) >= {"hull/bottom": 80, "hull/girder": 20, "hull/hat": 40, "hull/flange": 2}[zone]
    for line in derived:
        assert redone(line) == pytest.approx(line.result, rel=1e-9, abs=1e-12), (line.what, line.formula)


@pytest.mark.parametrize("zone", list(SHEETS))
def test_every_symbol_put_in_stands_in_its_formula(zone: str) -> None:
    for line in [line for line in all_lines(SHEETS[zone]) if line.formula]:
        symbols = set(re.findall(r"\{([^{}]*)\}", line.formula))
        assert symbols == {value.symbol for value in line.inputs}, line.formula


def result(sheet: CalculationSheet, section: str, symbol: str) -> Any:
    """The last result with that symbol in the sections whose title starts so."""
    found = [
        line.result
        for part in sheet.sections
        if part.title.startswith(section)
        for line in part.lines
        if line.symbol == symbol
    ]
    return found[-1]


def test_the_sheet_ends_where_the_figures_are() -> None:
    figures, sheet = zone_figures([PLATE])[0], SHEETS["hull/bottom"]
    expected = {
        ("Strips", "EAx"): figures.ea_x_mn_per_m,
        ("Strips", "EIy"): figures.ei_y_kn_m2_per_m,
        ("Transverse shear", "Sx"): figures.s_x_kn_per_m,
        ("Transverse shear", "Sy"): figures.s_y_kn_per_m,
        ("Weights", "M"): figures.mass_kg,
        ("Costs", "C"): figures.cost,
    }
    for (section, symbol), value in expected.items():
        assert result(sheet, section, symbol) == pytest.approx(value), (section, symbol)
    uses = [one.result for part in sheet.sections if part.title == "Panel: margins" for one in part.lines]
    known = {key: value for key in USES if (value := getattr(figures, key)) is not None}
    assert sorted(uses) == pytest.approx(sorted(known.values()))  # type: ignore[type-var]
    assert len(known) >= 5
    assert figures.laminate is not None
    assert np.array(result(sheet, "Laminate", "D")) == pytest.approx(np.array(figures.laminate.d_n_mm))
    deflections = [line.result for line in all_lines(sheet) if "at the centre, edges" in line.what]
    assert deflections[::2] == [figures.deflection_mm, figures.patch_deflection_mm]
    assert deflections[1] < deflections[0]  # clamped edges give less


def test_the_other_edges_are_the_bracket_of_clamped_ones_too() -> None:
    panel = {**PANEL, "edges": "clamped", "patch": None}
    sheet = working_of(case(ALL_KINDS, using=USING, panel=panel))
    first, second = [line for line in all_lines(sheet) if "at the centre, edges" in line.what]
    assert (first.what, second.what) == (
        "under the pressure, at the centre, edges clamped",
        "under the pressure, at the centre, edges simply-supported",
    )
    supported = zone_figures([case(ALL_KINDS, using=USING, panel={**panel, "edges": "simply-supported"})])[0]
    assert second.result == pytest.approx(supported.deflection_mm)


def test_frequency_and_held_edges_are_on_the_sheet() -> None:
    """One-term solutions are good to some 10 % (from memory); held edges of an unsymmetric skin are stiffer."""
    layup = [{"material": "quad-1200", "plies": 2}, {"material": "biax-800", "plies": 2}]
    panel = {"span_mm": 400, "length_mm": 600, "pressure_kpa": 1.0, "water": "mould", "carried_kg_m2": 4.0}
    for edges in ("clamped", "simply-supported"):
        one = case(layup, panel={**panel, "edges": edges}, using=USING)
        figures, sheet = zone_figures([one])[0], working_of(one)
        lines = {line.symbol: line for line in all_lines(sheet) if line.symbol in ("fr", "fw", "wh")}
        assert lines["fr"].result == pytest.approx(figures.frequency_hz, rel=0.12)
        assert lines["fw"].result == pytest.approx(figures.frequency_wet_hz)
        assert lines["fw"].result == pytest.approx(redone(lines["fw"]))
        assert lines["wh"].result < figures.deflection_mm  # type: ignore[operator]


def test_a_skin_that_stretches_shows_the_root_put_in() -> None:
    panel = {"span_mm": 600, "length_mm": 900, "edges": "clamped", "pressure_kpa": 12.0}
    one = case([{"material": "biax-800", "plies": 2}], panel=panel, using=USING)
    line = next(line for line in all_lines(working_of(one)) if "with stretch" in line.what)
    assert {v.symbol: v.number for v in line.inputs}["W"] == zone_figures([one])[0].deflection_membrane_mm
    assert redone(line) == pytest.approx(zone_figures([one])[0].deflection_mm)


def test_plies_of_the_sheet_make_its_laminate() -> None:
    """A, B, D summed by hand from the plies that the sheet lists with their heights and Q̄."""
    sheet = working_of(case([{"material": "uni-600"}, {"material": "biax-800"}], using=USING))
    q = {line.what: np.array(line.result) for line in all_lines(sheet) if line.symbol == "Q̄"}
    plies = next(grid.rows for one in sheet.sections if (grid := one.grid) and "lies" in grid.heads)
    a, b, d = np.zeros((3, 3)), np.zeros((3, 3)), np.zeros((3, 3))
    for _, lies, low, top, *_ in plies:
        stiffness = q[lies]
        a += 1e3 * stiffness * (top - low)
        b += 1e3 * stiffness * (top**2 - low**2) / 2
        d += 1e3 * stiffness * (top**3 - low**3) / 3
    for symbol, mine in (("A", a), ("B", b), ("D", d)):
        stated = np.array(result(sheet, "Laminate", symbol))
        assert mine == pytest.approx(stated, rel=1e-4, abs=1e-4 * np.abs(stated).max()), symbol


def test_every_material_stands_with_its_source() -> None:
    """Each source once, with everything that comes from it."""
    sources = {source: names.split(", ") for names, source in SHEETS["hull/bottom"].data}
    assert set(sources["illustrative"]) >= {"e-glass", "carbon", "vinylester", "polyester"}
    assert "honeycomb" in sources["no source stated"]


def test_documents_are_cited_in_short_and_told_in_full_once() -> None:
    sheet = SHEETS["hull/bottom"]
    told = dict(sheet.references)
    assert list(told)[:3] == ["Puck 1967", "Tsai and Pagano 1968", "Jones 1999"]
    assert told["Jones 1999"].startswith("R. M. Jones, Mechanics of Composite Materials, 2nd ed.")
    assert not any("memory" in section.source for section in sheet.sections)


def test_what_does_not_count_is_left_out() -> None:
    """Fractions of other processes, tolerances, board sizes, prices' wastage: none of them is in a formula."""
    inputs = [
        v.symbol for one in SHEETS["hull/bottom"].sections[:3] for line in one.lines for v in line.inputs
    ]
    assert {"ψ", "ρf", "Em", "q", "A"} <= set(inputs)
    used = {
        symbol
        for line in all_lines(SHEETS["hull/bottom"])
        for symbol in re.findall(r"\{([^{}]*)\}", line.formula)
    }
    limits = {"Ec", "τlim", *(symbol for symbol in inputs if symbol.startswith("εlim"))}
    assert set(inputs) - used - limits - {"F", "e", "E1", "E2", "G12", "ν12"} == set()
    joint = SHEETS["hull/flange"]
    assert [line.what for line in joint.sections[1].lines] == ["bond-paste, paste"]


def test_an_equation_does_not_define_a_symbol_by_itself() -> None:
    for sheet in SHEETS.values():
        for line in all_lines(sheet):
            assert f"{{{line.symbol}}}" not in line.formula, line


def test_the_stiffener_s_pieces_make_its_stiffness() -> None:
    figures, sheet = zone_figures([STIFFENER])[0], SHEETS["hull/girder"]
    assert result(sheet, "Section of the stiffener", "EI") == pytest.approx(figures.ei_stiffener_kn_m2)
    assert result(sheet, "Section of the stiffener", "z0") == pytest.approx(figures.neutral_axis_mm)
    assert any("left out" in note or "leaves out" in note for note in sheet.notes)


def test_the_rough_check_is_near_for_a_panel_without_coupling() -> None:
    """One-term solutions are good to some 10 % (from memory)."""
    layup = [{"material": "quad-1200", "plies": 1}, {"material": "quad-1200", "flipped": True}]
    panel = {"span_mm": 400, "length_mm": 600, "pressure_kpa": 1.0}
    for edges in ("clamped", "simply-supported"):
        sheet = working_of(case(layup, panel={**panel, "edges": edges}))
        rough = result(sheet, "Panel: deflection", "wr")
        exact = next(line.result for line in all_lines(sheet) if line.what.startswith("under the pressure"))
        assert rough == pytest.approx(exact, rel=0.12)


def test_a_zone_without_stiffness_has_a_sheet() -> None:
    sheet = working_of(case([{"material": "gelcoat", "thickness_mm": 0.5}], panel=PANEL))
    assert not any(section.title.startswith(("Laminate", "Panel: ")) for section in sheet.sections)


def test_the_worked_recipe_has_a_sheet_for_every_zone() -> None:
    recipe = read_recipe(WORKED)
    for one in zone_cases(recipe, recipe.models["demo"]):
        figures: ZoneFigures = zone_figures([one])[0]
        assert result(working_of(one), "Weights", "M") == pytest.approx(figures.mass_kg)
