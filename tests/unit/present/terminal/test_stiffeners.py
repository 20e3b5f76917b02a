"""Stiffeners in tables: what their section and beam show, and nothing that none of them has."""

import io
from typing import Any

import pytest
from rich.console import Console

from recipe_track.figures.layers import layer_figures
from recipe_track.figures.zone import zone_figures
from recipe_track.present.terminal.figures import layers_text
from recipe_track.present.terminal.stiffeners import stiffener_lines
from tests.recipes import case

SHAPE = {"crown_mm": 60, "height_mm": 80, "base_mm": 90, "flange_mm": 50}
BEAM = {"span_mm": 1200, "load_width_mm": 450, "pressure_kpa": 18.0, "ends": "clamped"}
LAYUP = [{"material": "uni-600", "plies": 3}, {"material": "uni-carbon", "plies": 2, "on": "crown"}]


def girder(**keys: Any) -> Any:
    return case(LAYUP, name="hull/girder", form="stiffener", length_m=2.0, section=SHAPE, **keys)


def printed(renderables: Any) -> str:
    console = Console(file=io.StringIO(), width=100)
    for one in renderables:
        console.print(one)
    return console.file.getvalue()  # type: ignore[attr-defined,no-any-return]


def test_a_section_without_a_beam_has_no_columns_of_one() -> None:
    shown = printed(stiffener_lines(zone_figures([girder()])))
    assert "W crown" in shown
    assert not any(head in shown for head in ("defl.", "strain", "freq.", "not checked"))


def test_a_beam_has_its_uses_and_says_what_nobody_checked() -> None:
    shown = printed(stiffener_lines(zone_figures([girder(beam=BEAM)])))
    assert all(head in shown for head in ("defl.", "strain", "web", "freq.", "Hz"))
    assert "not checked: bond of the flanges, buckling of webs and crown" in shown


@pytest.mark.parametrize("form", ["plate", "joint"])
def test_what_is_no_stiffener_is_not_listed(form: str) -> None:
    keys: dict[str, Any] = {} if form == "plate" else {"length_m": 2, "paste": "bond-paste", "kg_per_m": 1}
    zone = case(LAYUP[:1] if form == "plate" else [], form=form, **keys)
    assert printed(stiffener_lines(zone_figures([zone]))) == ""


def test_a_cap_is_worth_its_weight_in_the_table_of_layers() -> None:
    shown = printed(layers_text(layer_figures([girder(beam=BEAM)]), None))
    rows = [line.split() for line in shown.splitlines() if "uni-carbon" in line or "all layers" in line]
    assert "on crown" in shown
    whole, without = rows[-2], rows[-1]
    assert float(without[-2]) < 0.9 * float(whole[-2])
    assert float(without[-1]) > float(whole[-1])
