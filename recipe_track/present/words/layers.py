"""A line of a layup in the words of the shop."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from recipe_track.present.words.plain import visible
from recipe_track.present.words.units import angle_words, as_given, in_percent, stated

if TYPE_CHECKING:
    from recipe_track.impact.rows import LayerView, Row

ROW_SIGNS = {"kept": " ", "altered": "~", "replaced": "≠", "added": "+", "removed": "-", "moved": ">"}


def layer_words(layer: LayerView | None, mats: Collection[str] = ()) -> str:
    """`biax-800 ×2  45°  flipped`, `pvc-80  20 mm`; empty for no layer. A mat has no angle."""
    if layer is None:
        return ""
    times = f" ×{layer.plies}" if layer.plies > 1 else ""
    return "  ".join([f"{visible(layer.material)}{times}", *details(layer, layer.material in mats)])


def details(layer: LayerView, is_mat: bool = False) -> list[str]:
    """What is said of a layer beside its material and plies."""
    said = []
    if layer.thickness_mm is not None:
        said.append(stated("thickness_mm", layer.thickness_mm))
    if layer.angle_deg or (layer.thickness_mm is None and not is_mat):
        said.append(angle_words(layer.angle_deg))
    if layer.flipped:
        said.append("flipped")
    if layer.on != "all":
        said.append(f"on the {layer.on}")
    if layer.coverage_fraction < 1:
        said.append(f"over {in_percent(layer.coverage_fraction)} of the zone")
    if layer.process:
        said.append(layer.process)
    if layer.fibre_mass_fraction is not None:
        said.append(f"fibre {as_given(layer.fibre_mass_fraction)}")
    if layer.resin:
        said.append(visible(layer.resin))
    if layer.uptake_g_m2 is not None:
        said.append(f"resin uptake {stated('uptake_g_m2', layer.uptake_g_m2)}")
    if layer.stage > 1:
        said.append(f"stage {layer.stage}")
    return said


def row_sign(row: Row) -> str:
    """The sign of a row's mark."""
    return ROW_SIGNS[row.mark]
