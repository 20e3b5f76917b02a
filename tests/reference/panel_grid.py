"""Panels against finite elements over a grid of stacks, shapes, edges and both loads, uses included.

`python -m tests.reference.panel_grid` goes through the whole grid and prints a line per panel, one that is
beyond what is promised with an asterisk; some minutes of one core. The tests take a few of it.
"""

import sys
from dataclasses import dataclass
from itertools import product

import numpy as np

from recipe_track.mechanics.field_margins import BOTH, greatest_core_shear_use, greatest_strain_use
from recipe_track.mechanics.laminate import Stiffness, ply_bounds
from recipe_track.mechanics.panel import PanelFields, panel_fields
from tests.reference.elements import ElementField, element_fields
from tests.reference.stacks import (
    CARBON,
    CORE_ANGLE,
    GLASS,
    LIMITS,
    STRENGTH,
    Stack,
    Values,
    core_use_of,
    sandwich,
    strain_use_of,
)

STACKS = (
    sandwich(0.020, 30e6, 0.0, 90.0),
    sandwich(0.015, 60e6, 45.0, -45.0, 0.0),
    sandwich(0.035, 8e6, 20.0, 65.0, 20.0),
    sandwich(0.020, 30e6, 35.0),
    Stack("woven like skin", tuple((GLASS, 0.0006, angle, 3.5e9) for angle in (0.0, 90.0, 90.0, 0.0))),
    Stack("biax skin", tuple((GLASS, 0.0008, angle, 3.5e9) for angle in (45.0, -45.0, 45.0, -45.0))),
    Stack("quadrax skin", tuple((CARBON, 0.0005, angle, 4.5e9) for angle in (0.0, 45.0, 90.0, -45.0))),
    Stack("one direction at 40°", ((GLASS, 0.003, 40.0, 3.5e9),)),
    Stack("one direction of carbon at 30°", ((CARBON, 0.003, 30.0, 4.5e9),)),
)
SIDES = ((0.5, 0.5), (0.9, 0.45), (0.4, 1.3), (2.2, 0.5))
PATCH = 0.1
DEFLECTION, STRAIN, CORE, CORE_UNDER_PATCH = 0.005, 0.03, 0.01, 0.03


@dataclass(frozen=True)
class Panel:
    """One panel of the grid; unit pressure, unit force."""

    stack: Stack
    sides: tuple[float, float]
    clamped: bool

    @property
    def name(self) -> str:
        edges = "clamped" if self.clamped else "supported"
        return f"{self.stack.name}, {self.sides[0]} × {self.sides[1]} m, {edges}"

    def coupling(self) -> float:
        d, _, _ = self.stack.stiffness()
        return float(max(d[0, 2] ** 2 / (d[0, 0] * d[2, 2]), d[1, 2] ** 2 / (d[1, 1] * d[2, 2])))


GRID = [Panel(*one) for one in product(STACKS, SIDES, (True, False))]


def even_grid(sides: tuple[float, float], count: int) -> Values:
    """Places of one half of an even grid over a rectangle in the middle. [m]"""
    x, y = np.linspace(0, sides[0] / 2, count // 2 + 1), np.linspace(-sides[1] / 2, sides[1] / 2, count)
    return np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)


def counted(panel: Panel, places: Values) -> Values:
    """All but the corners; on supports with a coupling above 0.1 all but the 2 × 2 places there."""
    steps = np.rint(20 * (0.5 - np.abs(places) / np.array(panel.sides)))
    least = 1 if not panel.clamped and panel.coupling() > 0.1 else 0
    return steps.max(axis=1) > least


def by_elements(panel: Panel) -> dict[str, float]:
    """Deflections and uses of a panel by finite elements."""
    d, s_x, s_y = panel.stack.stiffness()
    over, under = even_grid(panel.sides, 21), even_grid((PATCH, PATCH), 11)
    fields = element_fields(d, (s_x, s_y), panel.sides, panel.clamped, PATCH, np.concatenate([over, under]))
    kept = counted(panel, over)
    pressed = np.concatenate([kept, np.zeros(len(under), dtype=bool)])
    return _of_elements(panel, "pressure", fields[0], pressed) | _of_elements(
        panel, "patch", fields[1], np.concatenate([kept, np.ones(len(under), dtype=bool)])
    )


def _of_elements(panel: Panel, load: str, field: ElementField, kept: Values) -> dict[str, float]:
    return {
        f"{load} deflection": field.deflection,
        f"{load} strain": strain_use_of(panel.stack, field.curvature[kept]),
        f"{load} core": core_use_of(panel.stack, field.shear[kept]),
    }


def by_mechanics(panel: Panel) -> dict[str, float]:
    """The same by the mechanics."""
    found = fields_of(panel)
    numbers = {
        "pressure deflection": found.response.deflection_m,
        "patch deflection": found.response.patch_deflection_m,
    }
    stack, one = panel.stack, np.ones(1, dtype=np.intp)
    laminate = Stiffness(*(m[None] for m in (stack.laminate().a, stack.laminate().b, stack.laminate().d)))
    z = ply_bounds(stack.thickness)
    faces, angle = np.stack([z[:-1], z[1:]], axis=-1)[None], stack.angle[None]
    limits = np.where(stack.is_core[:, None], np.nan, LIMITS)[None]
    strength = np.where(stack.is_core[:, None], STRENGTH, np.nan)[None]
    for load, field in (("pressure", found.pressure), ("patch", found.patch)):
        plies = (faces, angle, np.zeros_like(stack.is_core)[None], limits)
        numbers[f"{load} strain"] = greatest_strain_use(
            laminate, field.curvature_per_m, BOTH * one, *plies
        ).use
        flow, core_angle = stack.peak_flow()[None], np.full(angle.shape, CORE_ANGLE)
        core = greatest_core_shear_use(field.shear_n_per_m, flow, core_angle, strength).use
        numbers[f"{load} core"] = np.nan_to_num(core)
    return {name: float(value[0]) for name, value in numbers.items()}


def fields_of(panel: Panel) -> PanelFields:
    d, s_x, s_y = panel.stack.stiffness()
    one = np.ones(1)
    sides = (panel.sides[0] * one, panel.sides[1] * one)
    return panel_fields(
        d[None], s_x * one, s_y * one, *sides, np.array([panel.clamped]), one, one, PATCH * one
    )


def promised(panel: Panel) -> dict[str, float]:
    """How far off each figure may be; wider where the mechanics say that they are."""
    coupling = panel.coupling()
    corner = not panel.clamped and 0.02 < coupling <= 0.1
    strain = 0.09 if corner else 0.06 if coupling > 0.25 else STRAIN
    return {
        "pressure deflection": DEFLECTION,
        "pressure strain": strain,
        "pressure core": CORE,
        "patch deflection": DEFLECTION,
        "patch strain": STRAIN,
        "patch core": CORE_UNDER_PATCH,
    }


def differences(panel: Panel) -> dict[str, float]:
    elements, ours = by_elements(panel), by_mechanics(panel)
    return {name: ours[name] / elements[name] - 1 if elements[name] else 0.0 for name in elements}


def main() -> int:
    """Print the grid; 1 where anything is beyond what is promised."""
    beyond = 0
    for panel in GRID:
        found, allowed = differences(panel), promised(panel)
        cells = [
            f"{name} {100 * off:+.2f} %{'*' * (abs(off) > allowed[name])}" for name, off in found.items()
        ]
        beyond += any(abs(off) > allowed[name] for name, off in found.items())
        print(f"{panel.name} ({panel.coupling():.2f}): " + "; ".join(cells), flush=True)
    print(f"{beyond} of {len(GRID)} beyond what is promised")
    return int(beyond > 0)


if __name__ == "__main__":
    sys.exit(main())
