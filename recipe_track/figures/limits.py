"""Limits: required minima and targets held against the figures, and how much of one is used."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from recipe_track.figures.results import FIGURES, Requirement
from recipe_track.recipe.craft import Targets
from recipe_track.recipe.layup import Required
from recipe_track.recipe.quantities import limited


def requirements_of(limits: Required | Targets | None, figures: Mapping[str, Any]) -> tuple[Requirement, ...]:
    """Every minimum (`…_min`), limit (`…_max`) and range that is stated, with its figure."""
    stated = {key: getattr(limits, key) for key in type(limits).model_fields} if limits else {}
    return tuple(
        held_against(key, limit, figures.get(limited(key)[0]))
        for key, limit in stated.items()
        if limited(key)[0] in FIGURES and limit is not None
    )


def held_against(key: str, limit: float | tuple[float, float], value: float | None) -> Requirement:
    """One limit and its figure; a pair of numbers is a range, both ends included."""
    if value is None:
        return Requirement(key, limit, None, None)
    if isinstance(limit, tuple):
        return Requirement(key, limit, value, limit[0] <= value <= limit[1])
    met = value >= limit if limited(key)[1] == "min" else value <= limit
    return Requirement(key, limit, value, met)


def unmet_words(requirement: Requirement) -> str:
    """What a zone's notes say of a minimum or limit that does not hold."""
    return f"required {requirement.key} {requirement.limit:g} is not met"


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
