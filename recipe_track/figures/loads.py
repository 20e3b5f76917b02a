"""The two loads of a panel: where they act, and how a place under one is told to people."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from recipe_track.mechanics.arrays import IntArray
from recipe_track.mechanics.field import Field
from recipe_track.mechanics.field_margins import BAG, BOTH, MOULD
from recipe_track.mechanics.places import PANEL_PLACES, PATCH_PLACES, beside_corner
from recipe_track.recipe.layup import LoadedSide, Panel

SIDES: dict[LoadedSide, int] = {"mould": MOULD, "bag": BAG, "both": BOTH}
ACTING = {MOULD: "on the mould side", BAG: "on the bag side", BOTH: "on either side"}
_NAMES = {"pressure": "pressure", "patch": "foot load"}


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """Panels under one load and what they do all over: curvatures and transverse forces at every place."""

    load: Literal["pressure", "patch"]
    panels: Sequence[Panel]
    field: Field

    @property
    def side(self) -> IntArray:
        """Which side the load of each panel acts on, as `field_margins` has it. (n,)"""
        return np.array([SIDES[_side_of(panel, self.load)] for panel in self.panels], dtype=np.intp)

    def words(self, n: int, place: int, side: int) -> str:
        """`pressure on the mould side, middle of the y edges`, of one panel."""
        return f"{_NAMES[self.load]} {ACTING[side]}, {place_words(self.panels[n], place)}"


def _side_of(panel: Panel, load: str) -> LoadedSide:
    if load == "pressure":
        return panel.pressure_side
    return panel.patch.on if panel.patch else "both"


def sides_mm(panel: Panel) -> tuple[float, float]:
    """Length of a panel along the zone's x and y."""
    along, across = panel.span_mm, panel.length_mm
    return (along, across) if panel.span_axis == "x" else (across, along)


def place_words(panel: Panel, place: int) -> str:
    """A place of a field: the panel's grid first, then that of its foot.

    What is true at a place is true at the one opposite, too.
    """
    if place >= len(PANEL_PLACES):
        return _foot_words(*PATCH_PLACES[place - len(PANEL_PLACES)].tolist())
    x, y = PANEL_PLACES[place].tolist()
    along, across = (part * side / 2 for part, side in zip((x, y), sides_mm(panel), strict=True))
    if beside_corner(place):
        return "beside a corner" if panel.edges == "clamped" else "beside a held-down corner"
    if x == 1 or abs(y) == 1:
        axis, off = ("x", across) if x == 1 else ("y", along)
        return f"middle of the {axis} edges" if off == 0 else f"{axis} edge, {abs(off):.0f} mm off its middle"
    if x == y == 0:
        return "centre"
    return f"{along:.0f} mm along x and {across:.0f} mm along y from the centre"


def _foot_words(x: float, y: float) -> str:
    at_edge = (x == 1) + (abs(y) == 1)
    if x == y == 0:
        return "centre"
    return ("under the foot", "at the edge of the foot", "at a corner of the foot")[at_edge]
