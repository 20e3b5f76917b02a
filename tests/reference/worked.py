"""The worked recipe: illustrative, calculated independently of this project from the definitions."""

import json
from functools import cache, partial
from typing import Any

import numpy as np

from recipe_track.figures.craft import figures_of
from recipe_track.figures.results import ModelFigures
from tests.recipes import WORKED, read_recipe
from tests.reference.case import Case, Values

EXPECTED: dict[str, Any] = json.loads((WORKED / "expected.json").read_text(encoding="utf-8"))
SOURCE = "worked recipe in tests/data, illustrative, calculated independently"


@cache
def figures() -> ModelFigures:
    return figures_of(read_recipe(WORKED), "demo")


def cases() -> list[Case]:
    found = [
        case
        for zone, values in EXPECTED["zones"].items()
        for key, value in values.items()
        for case in _zone_cases(zone, key, value)
    ]
    for key, value in EXPECTED["craft"].items():
        found.append(_case("craft", key, value, partial(_craft, key)))
    return found


def _zone_cases(zone: str, key: str, value: Any) -> list[Case]:
    if isinstance(value, dict):
        return [
            _case(zone, f"{key} {part}", one, partial(_of, zone, key, part)) for part, one in value.items()
        ]
    return [] if value is None else [_case(zone, key, value, partial(_of, zone, key))]


def _of(zone: str, key: str, part: str = "") -> Values:
    value = getattr(next(z for z in figures().zones if z.zone == zone), key)
    if part:
        value = value[part] if isinstance(value, dict) else getattr(value, part)
    return np.asarray(value, dtype=float)


def _craft(key: str) -> Values:
    return np.asarray(getattr(figures().craft, key), dtype=float)


def _case(where: str, key: str, value: Any, ours: Any) -> Case:
    expected = np.asarray(value, dtype=float)
    tolerance = 5e-3 if key == "deflection_mm" else 1e-6
    # a figure that is nothing is held to nothing itself
    scale = None if np.abs(expected).max() else 1.0
    return Case(
        "worked",
        "worked recipe",
        f"{where} {key}",
        SOURCE,
        "own",
        "own",
        expected,
        ours,
        tolerance,
        "",
        scale,
    )
