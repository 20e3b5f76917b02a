"""What a layer is computed from: units, materials by name, and what is said where one is missing."""

from collections.abc import Mapping
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from recipe_track.recipe.materials import Core, Fibre, Material, Resin

FloatArray = NDArray[np.float64]
MM, GPA, MPA, GRAM = 1e-3, 1e9, 1e6, 1e-3
M = TypeVar("M", Fibre, Resin, Core)


class NotComputable(ValueError):
    """A figure that cannot be computed from what is written; says what is missing."""


def find(materials: Mapping[str, Material], name: str, kind: type[M]) -> M:
    """The material of that name and kind; NotComputable if there is none."""
    found = materials.get(name)
    if not isinstance(found, kind):
        raise NotComputable(f"no {kind.__name__.lower()} `{name}`")
    return found
