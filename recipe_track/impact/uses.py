"""Which materials a zone is computed from."""

from collections.abc import Mapping

from recipe_track.recipe.craft import Part
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Material, Reinforcement


def materials_of(zone: Zone, part: Part, materials: Mapping[str, Material]) -> frozenset[str]:
    """Ids of a zone's layers, resins, former and paste, and of the fibres its fabrics are made of."""
    named = {layer.material for layer in zone.layup} | {layer.resin or part.resin for layer in zone.layup}
    if zone.former is not None:
        named.add(zone.former.material)
    if zone.paste is not None:
        named.add(zone.paste)
    return frozenset(named | {fibre for name in named for fibre in _fibres(materials.get(name))})


def _fibres(material: Material | None) -> set[str]:
    if not isinstance(material, Reinforcement):
        return set()
    return {direction.fibre or material.fibre for direction in material.directions}
