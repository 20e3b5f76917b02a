"""The figures of a model at one revision, as JSON and as comma-separated values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from recipe_track.figures.results import (
    CRAFT_KEYS,
    PART_KEYS,
    ZONE_KEYS,
    ModelFigures,
    ZoneFigures,
    ZoneLayers,
)
from recipe_track.impact.effects import centre_numbers, numbers_of
from recipe_track.present.data.csv import Cell, csv_text
from recipe_track.present.data.values import plain_data, revision_json

if TYPE_CHECKING:
    from recipe_track.workspace import Revision


def figures_json(figures: ModelFigures, revision: Revision, zones: Sequence[ZoneFigures]) -> dict[str, Any]:
    """The body of `figures --json`; only the zones asked for are listed, part and craft are whole."""
    return {
        "model": figures.model,
        "revision": revision_json(revision),
        "currency": figures.currency,
        "zones": plain_data(list(zones)),
        "parts": plain_data(list(figures.parts)),
        "craft": plain_data(figures.craft),
    }


def layers_json(zones: Sequence[ZoneLayers]) -> dict[str, Any]:
    """Per zone name, its layers, mould side first."""
    return {zone.figures.zone: plain_data(zone.layers) for zone in zones}


FIGURE_KEYS = tuple(dict.fromkeys((*ZONE_KEYS, *PART_KEYS, *CRAFT_KEYS)))


def figures_csv(figures: ModelFigures, zones: Sequence[ZoneFigures]) -> str:
    """One line a zone, a part and the craft; centres taken apart, empty where a figure has no meaning."""
    head = ("level", "id", "name", *FIGURE_KEYS, "currency")
    return csv_text(head, _figure_rows(figures, zones))


def _figure_rows(figures: ModelFigures, zones: Sequence[ZoneFigures]) -> Iterator[list[Cell]]:
    for zone in zones:
        numbers = {**numbers_of(zone), **centre_numbers(zone.centroid_m)}
        yield _figure_row("zone", zone.zone, zone.name, numbers, figures.currency)
    for part in figures.parts:
        yield _figure_row("part", part.part, None, numbers_of(part), figures.currency)
    yield _figure_row("craft", figures.model, None, numbers_of(figures.craft), figures.currency)


def _figure_row(
    level: str, name: str, title: str | None, numbers: Mapping[str, float | None], currency: str | None
) -> list[Cell]:
    return [level, name, title, *(numbers.get(key) for key in FIGURE_KEYS), currency]
