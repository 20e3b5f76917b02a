"""Limits: required minima and targets held against the figures, and how much of one is used."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from recipe_track.figures.plies import ResolvedLayer
from recipe_track.recipe.layup import Required


@dataclass(frozen=True, slots=True)
class Requirement:
    """A required minimum, limit or target and the figure held against it; `met` None without a figure."""

    key: str
    limit: float | tuple[float, float]
    value: float | None
    met: bool | None


def requirements_of(required: Required | None, figures: Mapping[str, Any]) -> tuple[Requirement, ...]:
    """Every recorded minimum (`…_min`) and limit (`…_max`) of a zone with its figure."""
    if required is None:
        return ()
    return tuple(
        held_against(key, limit, figures.get(key[: -len("_min")]))
        for key in type(required).model_fields
        if key.endswith(("_min", "_max")) and (limit := getattr(required, key)) is not None
    )


def held_against(key: str, limit: float | tuple[float, float], value: float | None) -> Requirement:
    """One limit and its figure; a pair of numbers is a range, both ends included."""
    if value is None:
        return Requirement(key, limit, None, None)
    if isinstance(limit, tuple):
        return Requirement(key, limit, value, limit[0] <= value <= limit[1])
    met = value >= limit if key.endswith("_min") else value <= limit
    return Requirement(key, limit, value, met)


@dataclass(frozen=True, slots=True)
class Use:
    """A strain [-] or stress [Pa] over its limit; `governs` says where it is greatest, in words."""

    value: float
    limit: float
    governs: str

    @property
    def use(self) -> float:
        """How much of the limit is used; above 1 it is exceeded."""
        return self.value / self.limit


def layer_words(layer: ResolvedLayer) -> str:
    """`layer 3 biax-800`, the line counted from the mould side."""
    return f"layer {layer.line} {layer.layer.material}"
