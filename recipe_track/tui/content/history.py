"""The history of a model or a zone: rows, small course plots, one revision in full."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial

from textual.content import Content

from recipe_track.present.terminal.history import SHALLOW_HISTORY
from recipe_track.present.words.figures import FOLLOWED, ZONE_MAIN, day_words, exceeded_lines
from recipe_track.present.words.problems import place
from recipe_track.present.words.units import number, quantity, signed, unit_of, words_for
from recipe_track.review.past.course import Course, CourseEntry, course_of, joins_words
from recipe_track.tui.text import fitted, line, lines
from recipe_track.tui.widgets.listing import Listing, Subject
from recipe_track.tui.widgets.rows import ListColumn, ListRow
from recipe_track.workspace import Workspace

_COLUMNS = (
    ListColumn("revision", 8),
    ListColumn("date", 11),
    ListColumn("mass kg", 8, right=True),
    ListColumn("change", 7, right=True),
    ListColumn("cost", 7, right=True, from_width=90),
    ListColumn("reason", 0),
)
_BLOCKS = "▁▂▃▄▅▆▇█"
_GONE = "×"
_NAME, _VALUE = 11, 18
_Values = Sequence[float | None]


def course_subject(model: str, zone: str | None) -> Subject[Course, CourseEntry]:
    """The revisions of a model, or of one zone of it, newest first."""
    read = partial(course_of, model=model, zone=zone)
    return Subject(_COLUMNS, "no revisions yet", read, _listing, revision_page, plots)


def _listing(course: Course) -> Listing[CourseEntry]:
    """The change of mass is against the revision that each was made on."""
    masses = {entry.revision.commit: _value(entry, "mass_kg", course) for entry in course.entries}
    rows = tuple((_row(course, entry, masses), entry) for entry in course.entries)
    note = f"{len(rows)} revision{'s' if len(rows) != 1 else ''} of {course.zone or course.model}"
    return Listing(rows, note, "" if course.complete else SHALLOW_HISTORY)


def zone_names(ws: Workspace, model: str) -> list[str]:
    """The zones that a course can be drawn of."""
    tree = ws.current().models.get(model)
    return sorted(tree.zones) if tree else []


def _row(course: Course, entry: CourseEntry, masses: Mapping[str | None, float | None]) -> ListRow:
    mass, older = masses[entry.revision.commit], masses.get(entry.base) if entry.base else None
    change = signed("mass_kg", mass - older) if mass is not None and older is not None else ""
    cells = (
        entry.revision.shown, day_words(entry.revision.date), number("mass_kg", mass),
        "" if change == "0" else change, number("cost", _value(entry, "cost", course)),
        _reasons(entry),
    )  # fmt: skip
    label = entry.revision.label or ""
    look = "urgent" if entry.problems else "strong" if label and "+" not in label else ""
    return ListRow(entry.revision.commit or "", cells, look)


def _reasons(entry: CourseEntry) -> str:
    if entry.problems:
        return "unreadable, see below"
    return joins_words(entry.changes) if entry.joins else "; ".join(c.reason for c in entry.changes)


def _value(entry: CourseEntry, key: str, course: Course) -> float | None:
    source = entry.zone_figures if course.zone else entry.point
    value = getattr(source, key, None)
    return None if value is None else float(value)


def plots(course: Course, current: CourseEntry, width: int) -> Content:
    """One line per figure, oldest left; the column of the revision under the cursor is marked."""
    entries = [entry for entry in reversed(course.entries) if entry.drawn or entry is current]
    here = entries.index(current)
    room = max(width - _NAME - _VALUE - 26, 8)
    start = max(0, min(here - room // 2, len(entries) - room))
    shown = entries[start : start + room]
    keys = ZONE_MAIN if course.zone else FOLLOWED
    drawn = [_plot(course, key, shown, here - start) for key in keys]
    title = f"{course.zone or 'craft'}: oldest left, newest right; the scale of each line is its own range"
    mark = " " * _NAME + " " * (here - start) + "▴ "
    label = current.revision.shown
    return lines([line((title, "$text-muted")), *drawn, line((mark + label, "$accent"))])


def _plot(course: Course, key: str, entries: Sequence[CourseEntry], here: int) -> Content:
    values = [_value(entry, key, course) for entry in entries]
    known = [v for v in values if v is not None]
    now = values[here] if values else None
    span = f"{number(key, min(known))} … {number(key, max(known))}" if known else "nothing to show"
    name = fitted(words_for(key), _NAME)
    value = fitted(quantity(key, now, course.currency), _VALUE, right=True)
    unit = unit_of(key, course.currency)
    return line(name, (blocks(values), "$primary"), (value, "bold"), (f"  {span} {unit}", "$text-muted"))


def blocks(values: _Values) -> str:
    """Heights between the least and the greatest value; × where there is none."""
    known = [v for v in values if v is not None]
    low, high = (min(known), max(known)) if known else (0.0, 0.0)
    return "".join(_GONE if v is None else _BLOCKS[_height(v, low, high)] for v in values)


def _height(value: float, low: float, high: float) -> int:
    if high - low <= 1e-9 * max(abs(high), abs(low)):
        return 0
    return round((value - low) / (high - low) * (len(_BLOCKS) - 1))


def revision_page(entry: CourseEntry) -> Content:
    """One revision in full."""
    return lines(_page(entry))


def _page(entry: CourseEntry) -> Iterator[Content]:
    on = day_words(entry.revision.date)
    commit = (entry.revision.commit or "")[:10]
    yield line((entry.revision.shown, "bold"), f"  {on}  by {entry.author}  commit {commit}")
    head = "joins  " if entry.joins else "why  "
    for change in entry.changes:
        yield line((head, "bold"), f"{change.change or '(no change record)'} {change.reason}")
    if entry.zones:
        yield line(f"zones  {', '.join(entry.zones)}")
    for over in exceeded_lines(entry.zone_figures) if entry.zone_figures else ():
        yield line((over, "bold $accent"))
    for problem in entry.problems:
        yield line((f"unreadable: {place(problem)}: {problem.message}", "bold $accent"))
