"""The course of a model or a zone, and the story of a zone's layers, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from recipe_track.present.terminal.hulls import deviation_lines
from recipe_track.present.terminal.tables import TableColumn, table
from recipe_track.present.words.figures import FOLLOWED, ZONE_MAIN, day_words, revision_words
from recipe_track.present.words.layers import layer_words
from recipe_track.present.words.plain import shortened, visible, visible_lines
from recipe_track.present.words.problems import place
from recipe_track.present.words.records import date_words, hold_line, trial_line
from recipe_track.present.words.units import number, unit_of, words_for
from recipe_track.review.past.course import Course, CourseEntry, joins_words

if TYPE_CHECKING:
    from rich.console import RenderableType

    from recipe_track.review.past.why import Cause, DataChange, LayerStory, RemovedStory, ZoneStory

SHALLOW_HISTORY = (
    "This is a shallow clone: the history shown is not complete (`git fetch --unshallow` completes it)."
)


def history_text(course: Course) -> Iterator[RenderableType]:
    """Revisions newest first: label, date, figures, reason."""
    of = f" · {visible(course.zone)}" if course.zone else ""
    many = len(course.entries)
    yield f"{visible(course.model)}{of}: {many} revision{'s' if many != 1 else ''}"
    if not course.complete:
        yield SHALLOW_HISTORY
    yield from map(hold_line, course.holds)
    yield _table(course)
    for entry in course.entries:
        for problem in entry.problems:
            yield f"{entry.revision.shown} cannot be read: {place(problem)}: {visible(problem.message)}"


def _table(course: Course) -> RenderableType:
    keys = ZONE_MAIN if course.zone else FOLLOWED
    heads = (f"{_HEADS.get(key, words_for(key))}\n{unit_of(key, course.currency)}" for key in keys)
    columns = (
        *(TableColumn(head, fold=False) for head in ("revision", "date")),
        *(TableColumn(head, right=True, fold=False) for head in heads),
        TableColumn("reason", ratio=1),
    )
    return table(columns, (_cells(entry, course, keys) for entry in course.entries), apart=1)


_HEADS = {"deflection_mm": "defl."}


def _cells(entry: CourseEntry, course: Course, keys: Sequence[str]) -> tuple[str, ...]:
    source = entry.zone_figures if course.zone else entry.point
    numbers = (number(key, getattr(source, key) if source else None) for key in keys)
    return entry.revision.shown, day_words(entry.revision.date), *numbers, entry_reason(entry)


def entry_reason(entry: CourseEntry) -> str:
    """`C-2M9XQ4 too flexible at deck support`, several changes one after the other."""
    if entry.problems:
        return "unreadable, see below"
    if entry.joins:
        return joins_words(entry.changes)
    return "; ".join(
        shortened(f"{c.change} {c.reason}" if c.change else c.reason, 160) for c in entry.changes
    )


SHALLOW_STORY = "This is a shallow clone: layers may be older than they look (`git fetch --unshallow`)."
SINCE_WORDS = {"added": "added in", "altered": "altered in", "replaced": "replaced in"}


def why_text(story: ZoneStory) -> Iterator[RenderableType]:
    """Every layer, mould side first, with its reason; then what was taken out."""
    of = f" as built for hull {story.hull}" if story.hull else ""
    yield f"{visible(story.zone)} · {visible(story.model)} at {revision_words(story.revision)}{of}"
    if len(story.names) > 1:
        yield f"  earlier: {', '.join(map(visible, story.names[1:]))}"
    yield from (f"  {hold_line(hold)}" for hold in story.holds)
    for layer in story.layers:
        yield ""
        yield from _layer_lines(layer, story.mats)
    if story.removed:
        yield ""
        yield "taken out"
    for gone in story.removed:
        yield from _removed_lines(gone, story.mats)
    if story.around:
        yield ""
        yield "from outside the zone's file"
    yield from (f"    {_data_line(change)}" for change in story.around)
    for row in story.deviations:
        yield ""
        yield from deviation_lines(row)
    if not story.complete:
        yield SHALLOW_STORY


def _layer_lines(layer: LayerStory, mats: frozenset[str]) -> Iterator[str]:
    yield f"{layer.layer.line:>2}  {layer_words(layer.layer, mats)}"
    was = f" (was {layer_words(layer.was, mats)})" if layer.was else ""
    yield f"    {SINCE_WORDS.get(layer.mark, 'since')} {revision_words(layer.cause.since)}{was}"
    yield from (f"    {line}" for line in _cause_lines(layer.cause))
    for cause in layer.earlier:
        yield f"    some of its plies since {revision_words(cause.since)}: {_reason(cause)}"
    yield from (f"    {_data_line(change)}" for change in layer.data)
    other = f"; with other data {_hulls(layer.hulls_other_data)}" if layer.hulls_other_data else ""
    yield f"    {_hulls(layer.hulls)}{other}{_planned(layer.hulls_planned)}"


def _data_line(change: DataChange) -> str:
    """`data of biax-600 changed in r7 (18 May 2026): C-70FQM3 “Marlow stops biaxial 600…”`."""
    since = revision_words(change.cause.since)
    return f"data of {visible(change.of)} changed in {since}: {_reason(change.cause)}"


def _removed_lines(gone: RemovedStory, mats: frozenset[str]) -> Iterator[str]:
    yield f" -  {layer_words(gone.layer, mats)} (line {gone.layer.line} then)"
    yield f"    in since {revision_words(gone.brought.since)}: {_reason(gone.brought)}"
    yield f"    out in {revision_words(gone.cause.since)}"
    yield from (f"    {line}" for line in _cause_lines(gone.cause))
    yield f"    {_hulls(gone.hulls)}{_planned(gone.hulls_planned)}"


def _cause_lines(cause: Cause) -> Iterator[str]:
    yield _reason(cause)
    yield from (f"  {trial_line(i, trial)}" for i, trial in cause.trials)
    if cause.change is not None:
        approved = _approved(cause)
        yield f"proposed by {visible(cause.change.by)}, {approved}; {_outcome(cause)}"


def _reason(cause: Cause) -> str:
    reason = visible_lines(cause.reason).replace("\n", " ")
    return f"{cause.change_id} “{reason}”" if cause.change_id else f"“{reason}” (no change record)"


def _approved(cause: Cause) -> str:
    if cause.approval is None:
        return "not approved"
    return f"approved by {visible(cause.approval[1].by)}, {date_words(cause.approval[1].on)}"


def _outcome(cause: Cause) -> str:
    if not cause.verifications:
        return "not verified"
    verification = cause.verifications[-1][1]
    return f"{verification.outcome.replace('-', ' ')} on hull {verification.hull}"


def _planned(hulls: Sequence[str]) -> str:
    return f"; planned {_hulls(hulls)}" if hulls else ""


def _hulls(hulls: Sequence[str]) -> str:
    return f"on hull{'s' if len(hulls) > 1 else ''} {', '.join(hulls)}" if hulls else "on no hull"
