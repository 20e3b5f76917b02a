"""Laws that the panel of any layup obeys."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.figures.zone import zone_figures
from tests.laws.recipe_strategies import Line, layups
from tests.recipes import case, figures


@given(layups(5), st.sampled_from(["clamped", "simply-supported"]))
def test_a_panel_turned_with_its_layup_is_the_same(layup: list[Line], edges: str) -> None:
    turned = [line | {"angle_deg": line.get("angle_deg", 0.0) + 90.0} for line in layup]
    panel: dict[str, Any] = {"span_mm": 400, "length_mm": 650, "edges": edges, "pressure_kpa": 2.0}
    panel["patch"] = {"force_kn": 1, "side_mm": 90}
    first, second = case(layup, panel=panel), case(turned, panel={**panel, "span_axis": "x"})
    one, other = zone_figures([first, second])
    for key in ("deflection_mm", "patch_deflection_mm", "core_shear_use", "strain_use", "wrinkling_use"):
        expected = getattr(one, key)
        assert getattr(other, key) == (None if expected is None else pytest.approx(expected, rel=1e-6)), key


@given(
    layups(6), st.floats(60, 900), st.floats(1, 6), st.sampled_from(["x", "y"]),
    st.sampled_from(["clamped", "simply-supported"]), st.floats(0.01, 200),
)  # fmt: skip
def test_no_panel_gives_anything_but_finite_figures(
    layup: list[Line], span: float, slender: float, axis: str, edges: str, pressure: float
) -> None:
    panel = {
        "span_mm": span, "length_mm": span * slender, "span_axis": axis, "edges": edges,
        "pressure_kpa": pressure, "patch": {"force_kn": 0.8, "side_mm": span / 3},
    }  # fmt: skip
    zone = figures(layup, panel=panel)
    for key in ("deflection_mm", "patch_deflection_mm"):
        assert getattr(zone, key) > 0
        assert np.isfinite(getattr(zone, key))
    for key in ("core_shear_use", "strain_use", "wrinkling_use"):
        assert getattr(zone, key) is None or getattr(zone, key) >= 0
