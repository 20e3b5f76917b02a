"""The course of a model or a zone, as JSON and as a table."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from recipe_track.present.figures import day_words, plain_data
from recipe_track.present.plain import shortened, visible
from recipe_track.present.problems import place, problems_json
from recipe_track.present.units import number, unit_of
from recipe_track.procedures.course import Course, CourseEntry

if TYPE_CHECKING:
    from rich.console import RenderableType

POINT_KEYS = ("mass_kg", "lcg_m", "tcg_m", "vcg_m", "cost")
ZONE_KEYS = ("mass_kg", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m", "deflection_mm", "cost")
SHALLOW = "This is a shallow clone: the history shown is not complete (`git fetch --unshallow` completes it)."


def history_json(course: Course) -> dict[str, Any]:
    """The body of `history --json`."""
    return {
        "model": course.model,
        "zone": course.zone,
        "currency": course.currency,
        "revisions": [_entry_json(entry) for entry in course.entries],
        "complete": course.complete,
    }


def _entry_json(entry: CourseEntry) -> dict[str, Any]:
    point = {key: getattr(entry.point, key) if entry.point else None for key in POINT_KEYS}
    return {
        "label": entry.revision.label,
        "commit": entry.revision.commit,
        "date": entry.revision.date,
        "author": entry.author,
        "changes": plain_data(entry.changes),
        "zones": list(entry.zones),
        **point,
        "figures": plain_data(entry.zone_figures),
        "problems": problems_json(entry.problems),
    }


def history_text(course: Course) -> "Iterator[RenderableType]":
    """Revisions newest first: label, date, figures, reason."""
    of = f" · {visible(course.zone)}" if course.zone else ""
    many = len(course.entries)
    yield f"{visible(course.model)}{of}: {many} revision{'s' if many != 1 else ''}"
    if not course.complete:
        yield SHALLOW
    yield _table(course)
    for entry in course.entries:
        for problem in entry.problems:
            yield f"{entry.revision.shown} cannot be read: {place(problem)}: {visible(problem.message)}"


def _table(course: Course) -> "RenderableType":
    from rich.table import Table
    from rich.text import Text

    keys = ZONE_KEYS if course.zone else ("mass_kg", "lcg_m", "vcg_m", "cost")
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("revision", no_wrap=True)
    table.add_column("date", no_wrap=True)
    for key in keys:
        table.add_column(
            Text(f"{_HEADS[key]}\n{unit_of(key, course.currency)}"), justify="right", no_wrap=True
        )
    table.add_column("reason", overflow="fold", ratio=1)
    for entry in course.entries:
        source = entry.zone_figures if course.zone else entry.point
        cells = [Text(number(key, getattr(source, key) if source else None)) for key in keys]
        shown = Text(entry.revision.shown)
        table.add_row(shown, Text(day_words(entry.revision.date)), *cells, Text(reason_words(entry)))
    return table


_HEADS = {
    "mass_kg": "mass",
    "lcg_m": "LCG",
    "vcg_m": "VCG",
    "cost": "cost",
    "ei_x_kn_m2_per_m": "EI along",
    "ei_y_kn_m2_per_m": "EI across",
    "deflection_mm": "defl.",
}


def reason_words(entry: CourseEntry) -> str:
    """`C-2M9XQ4 too flexible at deck support`, several changes one after the other."""
    if entry.problems:
        return "unreadable, see below"
    return "; ".join(
        shortened(f"{c.change} {c.reason}" if c.change else c.reason, 160) for c in entry.changes
    )
