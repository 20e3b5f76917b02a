"""A few panels of the grid against finite elements; `python -m tests.reference.panel_grid` takes them all."""

import pytest

from tests.reference.panel_grid import GRID, Panel, differences, promised

FEW = (
    "sandwich 30 MPa (0.0, 90.0), 0.5 × 0.5 m, clamped",
    "sandwich 60 MPa (45.0, -45.0, 0.0), 2.2 × 0.5 m, supported",
    "sandwich 8 MPa (20.0, 65.0, 20.0), 0.4 × 1.3 m, clamped",
    "sandwich 30 MPa (35.0,), 0.9 × 0.45 m, supported",
    "woven like skin, 0.9 × 0.45 m, clamped",
    "biax skin, 0.4 × 1.3 m, supported",
    "quadrax skin, 0.9 × 0.45 m, supported",
    "one direction at 40°, 2.2 × 0.5 m, clamped",
    "one direction of carbon at 30°, 0.5 × 0.5 m, supported",
)


@pytest.mark.parametrize("panel", [p for p in GRID if p.name in FEW], ids=lambda panel: panel.name)
def test_deflections_and_uses_are_those_of_finite_elements(panel: Panel) -> None:
    found, allowed = differences(panel), promised(panel)
    assert {name: off for name, off in found.items() if abs(off) > allowed[name]} == {}


def test_the_few_are_of_the_grid() -> None:
    assert {p.name for p in GRID} >= set(FEW)
