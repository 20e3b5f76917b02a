"""Figures, comparisons and histories as comma-separated values."""

from collections.abc import Iterator, Mapping, Sequence

from recipe_track.figures.craft import ModelFigures
from recipe_track.figures.zone import ZoneFigures
from recipe_track.impact.deltas import (
    CRAFT_KEYS,
    PART_KEYS,
    ZONE_KEYS,
    centre_numbers,
    craft_numbers,
    part_numbers,
    zone_numbers,
)
from recipe_track.impact.outcome import Deltas
from recipe_track.present.csv import Cell, csv_text
from recipe_track.present.history import POINT_KEYS
from recipe_track.present.history import ZONE_KEYS as COURSE_KEYS
from recipe_track.present.problems import place
from recipe_track.procedures.comparison import Comparison
from recipe_track.procedures.course import Course, CourseEntry

FIGURE_KEYS = tuple(dict.fromkeys((*ZONE_KEYS, *PART_KEYS, *CRAFT_KEYS)))


def figures_csv(figures: ModelFigures, zones: Sequence[ZoneFigures]) -> str:
    """One line a zone, a part and the craft; centres taken apart, empty where a figure has no meaning."""
    head = ("level", "id", "name", *FIGURE_KEYS, "currency")
    return csv_text(head, _figure_rows(figures, zones))


def _figure_rows(figures: ModelFigures, zones: Sequence[ZoneFigures]) -> Iterator[list[Cell]]:
    for zone in zones:
        numbers = {**zone_numbers(zone), **centre_numbers(zone.centroid_m)}
        yield _figure_row("zone", zone.zone, zone.name, numbers, figures.currency)
    for part in figures.parts:
        yield _figure_row("part", part.part, None, part_numbers(part), figures.currency)
    yield _figure_row("craft", figures.model, None, craft_numbers(figures.craft), figures.currency)


def _figure_row(
    level: str, name: str, title: str | None, numbers: Mapping[str, float | None], currency: str | None
) -> list[Cell]:
    return [level, name, title, *(numbers.get(key) for key in FIGURE_KEYS), currency]


def compare_csv(comparison: Comparison) -> str:
    """One line a figure of every zone, part and the craft."""
    head = ("level", "id", "before_id", "status", "figure", "before", "after", "delta", "percent")
    return csv_text(head, _compared_rows(comparison))


def _compared_rows(comparison: Comparison) -> Iterator[list[Cell]]:
    impact = comparison.impact
    for zone in impact.zones:
        yield from _delta_rows(("zone", zone.zone, zone.before_zone, zone.status), zone.figures)
    for part in impact.parts:
        yield from _delta_rows(("part", part.part, None, None), part.figures)
    yield from _delta_rows(("craft", impact.model, None, None), impact.craft.figures)


def _delta_rows(of: Sequence[Cell], figures: Deltas) -> Iterator[list[Cell]]:
    for key, delta in figures.items():
        if delta.before is not None or delta.after is not None:
            yield [*of, key, delta.before, delta.after, delta.delta, delta.percent]


def history_csv(course: Course) -> str:
    """One line a revision, newest first."""
    keys = COURSE_KEYS if course.zone else POINT_KEYS
    head = (
        "revision",
        "commit",
        "date",
        "author",
        "changes",
        "reasons",
        "zones",
        *keys,
        "currency",
        "problems",
    )
    return csv_text(head, (_entry_row(entry, course, keys) for entry in course.entries))


def _entry_row(entry: CourseEntry, course: Course, keys: Sequence[str]) -> list[Cell]:
    source = entry.zone_figures if course.zone else entry.point
    return [
        entry.revision.label, entry.revision.commit, entry.revision.date, entry.author,
        "; ".join(change.change for change in entry.changes if change.change),
        "; ".join(change.reason for change in entry.changes),
        "; ".join(entry.zones),
        *(getattr(source, key) if source else None for key in keys),
        course.currency,
        "; ".join(f"{place(p)}: {p.message}" for p in entry.problems),
    ]  # fmt: skip
