"""The section through a zone: how thick each line of its layup is once cured."""

from dataclasses import dataclass
from typing import Literal

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.plies import LayerPlies, ResolvedLayer, resolve_layers
from recipe_track.recipe.materials import Coating, Core, Reinforcement

Look = Literal["coating", "mat", "fabric", "core"]


@dataclass(frozen=True, slots=True)
class SectionLayer:
    """One line of a layup in a section; a layer that does not cover the zone is not `full`."""

    line: int
    material: str
    look: Look
    thickness_mm: float
    full: bool


def section_of(case: ZoneCase) -> tuple[SectionLayer, ...]:
    """The lines of a zone's layup from mould side to bag side; none for a joint.

    Raises NotComputable where a material, a fibre mass fraction or a core uptake is missing.
    """
    known: dict[object, LayerPlies] = {}
    return tuple(map(_layer, resolve_layers(case.zone.layup, case.part, case.materials, known)))


def _layer(resolved: ResolvedLayer) -> SectionLayer:
    thickness = float(resolved.plies.thickness_m.sum()) * 1e3 * resolved.layer.plies
    return SectionLayer(resolved.line, resolved.layer.material, _look(resolved), thickness, resolved.full)


def _look(resolved: ResolvedLayer) -> Look:
    material = resolved.material
    if isinstance(material, Coating):
        return "coating"
    if isinstance(material, Core):
        return "core"
    assert isinstance(material, Reinforcement)
    return "mat" if all(d.random for d in material.directions) else "fabric"
