"""Materials by name, and what is said where something is missing that a figure needs."""

from collections.abc import Mapping
from typing import TypeVar

from recipe_track.recipe.materials import Core, Fibre, Material, Resin

_Kind = TypeVar("_Kind", Fibre, Resin, Core)


class NotComputable(ValueError):
    """A figure that cannot be computed from what is written; says what is missing."""


def material_of(materials: Mapping[str, Material], name: str, kind: type[_Kind]) -> _Kind:
    """The material of that name and kind; NotComputable if there is none."""
    material = materials.get(name)
    if not isinstance(material, kind):
        raise NotComputable(f"no {kind.__name__.lower()} `{name}`")
    return material
