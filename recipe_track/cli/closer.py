"""Closer looks at single zones for `figures`: each layer, the working, the spread."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.craft import zone_cases
from recipe_track.recipe.snapshot import Snapshot

if TYPE_CHECKING:
    from rich.console import RenderableType


@dataclass(frozen=True, slots=True)
class Look:
    """A closer look, as JSON and, with the currency given, as text."""

    json: Callable[[], Any]
    text: "Callable[[str | None], Iterable[RenderableType]]"


def closer_looks(
    snapshot: Snapshot, model: str, names: Collection[str], asked: Mapping[str, bool]
) -> dict[str, Look]:
    """The looks asked for, by the name of their option."""
    cases = [case for case in zone_cases(snapshot, snapshot.models[model]) if case.name in names]
    looks: dict[str, Look] = {}
    if asked["layers"]:
        looks["layers"] = _layers(cases)
    if asked["working"] or asked["markdown"]:
        looks["working"] = _working(cases, asked["markdown"])
    if asked["spread"]:
        looks["spread"] = _spread(snapshot, model, names)
    return looks


def _layers(cases: list[ZoneCase]) -> Look:
    from recipe_track.figures.layers import layer_figures
    from recipe_track.present.layer_value import layers_json, layers_text

    found = layer_figures(cases)
    return Look(lambda: layers_json(found), lambda currency: layers_text(found, currency))


def _working(cases: list[ZoneCase], markdown: bool) -> Look:
    from recipe_track.figures.working import working_of
    from recipe_track.present.figures import plain_data
    from recipe_track.present.working import working_markdown, working_text

    sheets = [working_of(case) for case in cases]
    shown = working_markdown if markdown else working_text
    return Look(lambda: plain_data(sheets), lambda _: [shown(sheet) for sheet in sheets])


def _spread(snapshot: Snapshot, model: str, names: Collection[str]) -> Look:
    from recipe_track.present.spread import deviations_text
    from recipe_track.procedures.spreads import model_deviations

    found = model_deviations(snapshot, model)
    listed = {name: values for name, values in found.items() if name in names or "/" not in name}
    return Look(lambda: listed, lambda currency: deviations_text(listed, currency))
