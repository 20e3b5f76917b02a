"""Limits: required minima and targets held against the figures, and how much of one is used."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from recipe_track.figures.results import BY_LOAD, FIGURES, USE_KEYS, Requirement
from recipe_track.recipe.craft import Targets
from recipe_track.recipe.layup import Required
from recipe_track.recipe.quantities import limited

_TOLERANCE = 1e-9  # a limit met to the digit may be missed in the last bit of a sum


def at_least(value: float, limit: float) -> bool:
    """Whether a value reaches a limit, but for rounding."""
    return value >= limit - _TOLERANCE * max(abs(limit), abs(value))


def at_most(value: float, limit: float) -> bool:
    """Whether a value keeps below a limit or at it, but for rounding."""
    return value <= limit + _TOLERANCE * max(abs(limit), abs(value))


def exceeded_in(figures: Mapping[str, Any], keys: Iterable[str] = USE_KEYS) -> tuple[str, ...]:
    """The uses above 1, whether or not somebody stated a limit."""
    return tuple(key for key in keys if (use := figures.get(key)) is not None and not at_most(use, 1.0))


def requirements_of(limits: Required | Targets | None, figures: Mapping[str, Any]) -> tuple[Requirement, ...]:
    """Every minimum (`…_min`), limit (`…_max`) and range that is stated, with its figure.

    A limit of a use holds for both loads of a panel: the greater is held against it.
    """
    stated = {key: getattr(limits, key) for key in type(limits).model_fields} if limits else {}
    return tuple(
        _held(key, limit, figures)
        for key, limit in stated.items()
        if limited(key)[0] in FIGURES and limit is not None
    )


def _held(key: str, limit: float | tuple[float, float], figures: Mapping[str, Any]) -> Requirement:
    figure = limited(key)[0]
    if figure not in BY_LOAD:
        return held_against(key, limit, figures.get(figure))
    by_load = {load: figures.get(name) for load, name in BY_LOAD[figure].items()}
    known = {load: use for load, use in by_load.items() if use is not None}
    worse = max(known, key=lambda load: known[load]) if known else None
    held = held_against(key, limit, known[worse] if worse else None)
    return replace(held, load=worse, by_load=by_load)


def held_against(key: str, limit: float | tuple[float, float], value: float | None) -> Requirement:
    """One limit and its figure; a pair of numbers is a range, both ends included."""
    if value is None:
        return Requirement(key, limit, None, None)
    if isinstance(limit, tuple):
        return Requirement(key, limit, value, at_least(value, limit[0]) and at_most(value, limit[1]))
    met = at_least(value, limit) if limited(key)[1] == "min" else at_most(value, limit)
    return Requirement(key, limit, value, met)


def by_figure(requirements: Iterable[Requirement]) -> dict[str, Requirement]:
    """Each figure with the limit that holds for it: a limit for both loads holds for two figures."""
    held: dict[str, Requirement] = {}
    for one in requirements:
        figure = limited(one.key)[0]
        held[figure] = one
        for load, key in BY_LOAD.get(figure, {}).items():
            held[key] = held_against(one.key, one.limit, one.by_load.get(load))
    return held


def unmet_words(requirement: Requirement) -> str:
    """What a zone's notes say of a minimum or limit that does not hold."""
    return f"required {requirement.key} {requirement.limit:g} is not met"


def not_met_words(requirement: Requirement) -> str:
    """The same with its figure, in digits enough to see that it is not."""
    value, limit = requirement.value, requirement.limit
    if value is None or isinstance(limit, tuple):
        return unmet_words(requirement)
    digits = next((n for n in range(6, 17) if f"{value:.{n}g}" != f"{limit:.{n}g}"), 17)
    load = f" under the {requirement.load} load" if requirement.load == "patch" else ""
    return f"required {requirement.key} {limit:.{digits}g} is not met: {value:.{digits}g}{load}"


def exceeded_words(key: str, use: float, governs: str | None) -> str:
    """What governs a use above 1, in digits enough to see that it is."""
    digits = next((n for n in range(4, 17) if f"{use:.{n}g}" != "1"), 17)
    return f"{key} {use:.{digits}g} is above 1{f': {governs}' if governs else ''}"


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
