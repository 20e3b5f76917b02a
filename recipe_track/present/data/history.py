"""The course of a model or a zone and the story of its layers, as JSON and comma-separated values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from recipe_track.present.data.csv import Cell, csv_text
from recipe_track.present.data.hulls import deviation_json
from recipe_track.present.data.records import record_json
from recipe_track.present.data.values import plain_data, revision_json
from recipe_track.present.words.figures import TOTALS, ZONE_MAIN
from recipe_track.present.words.problems import place, problems_json
from recipe_track.review.past.course import Course, CourseEntry, joins_words

if TYPE_CHECKING:
    from recipe_track.review.past.why import Cause, DataChange, LayerStory, RemovedStory, ZoneStory


def history_json(course: Course) -> dict[str, Any]:
    """The body of `history --json`."""
    return {
        "model": course.model,
        "zone": course.zone,
        "currency": course.currency,
        "revisions": [_entry_json(entry) for entry in course.entries],
        "holds": plain_data(course.holds),
        "complete": course.complete,
    }


def _entry_json(entry: CourseEntry) -> dict[str, Any]:
    point = {key: getattr(entry.point, key) if entry.point else None for key in TOTALS}
    return {
        "label": entry.revision.label,
        "commit": entry.revision.commit,
        "date": entry.revision.date,
        "author": entry.author,
        "joins": entry.joins,
        "changes": plain_data(entry.changes),
        "zones": list(entry.zones),
        **point,
        "figures": plain_data(entry.zone_figures),
        "problems": problems_json(entry.problems),
    }


def history_csv(course: Course) -> str:
    """One line a revision, newest first."""
    keys = ZONE_MAIN if course.zone else TOTALS
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
        joins_words(entry.changes) if entry.joins else "; ".join(c.reason for c in entry.changes),
        "; ".join(entry.zones),
        *(getattr(source, key) if source else None for key in keys),
        course.currency,
        "; ".join(f"{place(p)}: {p.message}" for p in entry.problems),
    ]  # fmt: skip


def why_json(story: ZoneStory) -> dict[str, Any]:
    """The body of `why --json`."""
    return {
        "zone": story.zone,
        "names": list(story.names),
        "model": story.model,
        "revision": revision_json(story.revision),
        "hull": story.hull,
        "layers": [_layer_json(layer) for layer in story.layers],
        "removed": [_removed_json(layer) for layer in story.removed],
        "around": [_data_json(change) for change in story.around],
        "deviations": [deviation_json(row) for row in story.deviations],
        "holds": plain_data(story.holds),
        "complete": story.complete,
    }


def _cause_json(cause: Cause) -> dict[str, Any]:
    return {
        "since": revision_json(cause.since),
        "change": cause.change_id,
        "title": cause.change.title if cause.change else None,
        "reason": cause.reason,
        "category": cause.change.category if cause.change else None,
        "trials": [i for i, _ in cause.trials],
        "observations": [record_json(i, trial) for i, trial in cause.trials],
        "proposed_by": cause.change.by if cause.change else None,
        "approved_by": cause.approval[1].by if cause.approval else None,
        "outcome": cause.outcome,
        "verified_on": [verification.hull for _, verification in cause.verifications],
    }


def _layer_json(layer: LayerStory) -> dict[str, Any]:
    return {
        "line": layer.layer.line,
        "layer": plain_data(layer.layer),
        "mark": layer.mark,
        "was": plain_data(layer.was),
        **_cause_json(layer.cause),
        "hulls": list(layer.hulls),
        "hulls_other_data": list(layer.hulls_other_data),
        "hulls_planned": list(layer.hulls_planned),
        "data": [_data_json(change) for change in layer.data],
        "earlier": [_cause_json(cause) for cause in layer.earlier],
    }


def _data_json(change: DataChange) -> dict[str, Any]:
    return {"of": change.of, **_cause_json(change.cause)}


def _removed_json(layer: RemovedStory) -> dict[str, Any]:
    cause = _cause_json(layer.cause)
    return {
        "line": layer.layer.line,
        "layer": plain_data(layer.layer),
        "since": revision_json(layer.brought.since),
        "removed": cause.pop("since"),
        **cause,
        "brought_by": layer.brought.change_id,
        "hulls": list(layer.hulls),
        "hulls_planned": list(layer.hulls_planned),
    }
