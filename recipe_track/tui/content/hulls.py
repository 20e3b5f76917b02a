"""Hulls: the list, and one in full as it was built."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from functools import partial

from textual.content import Content

from recipe_track.present.terminal.hulls import exceeded_as_built
from recipe_track.present.words.figures import day_words
from recipe_track.present.words.records import former_words
from recipe_track.present.words.units import number, percent, quantity, signed_quantity
from recipe_track.recipe.hulls import HullPart
from recipe_track.review.hull.as_built import HullRecord, PartShown, fetch_hulls, hull_record
from recipe_track.review.hull.overview import HullRow, hull_rows
from recipe_track.review.hull.weighings import Weighed, weighed
from recipe_track.review.hull.zones import state_in_words
from recipe_track.tui.text import line, lines
from recipe_track.tui.widgets.listing import Listing, Subject
from recipe_track.tui.widgets.rows import ListColumn, ListRow
from recipe_track.workspace import Workspace

_COLUMNS = (
    ListColumn("hull", 8),
    ListColumn("status", 14),
    ListColumn("open", 4, right=True),
    ListColumn("dev.", 4, right=True),
    ListColumn("", 4),
    ListColumn("built to", 0),
)


def hull_subject(model: str) -> Subject[Sequence[HullRow], HullRow]:
    """The hulls of a model: what each part is built to, what stands open."""
    return Subject(_COLUMNS, "no hulls yet", partial(_read, model=model), _listing, _ask_page)


def _read(ws: Workspace, model: str) -> Sequence[HullRow]:
    snapshot = ws.current()
    return hull_rows(snapshot, model) if model in snapshot.models else ()


def _listing(rows: Sequence[HullRow]) -> Listing[HullRow]:
    held = sum(bool(row.holds) for row in rows)
    note = f"{len(rows)} hull{'s' if len(rows) != 1 else ''}" + (f", {held} with a hold" if held else "")
    return Listing(tuple((_row(row), row) for row in rows), note)


def _ask_page(row: HullRow) -> Callable[[Workspace], Content]:
    return partial(_hull_page, number=row.number)


def _hull_page(ws: Workspace, number: str) -> Content:
    sources = fetch_hulls(ws, ws.current())
    return lines(_page(hull_record(sources, number), weighed(sources, number)))


def _row(row: HullRow) -> ListRow:
    parts = _built_to(row.state.parts)
    hold = "HOLD" if row.holds else ""
    cells = (row.number, row.state.state, str(row.open_observations), str(row.deviations), hold, parts or "–")
    return ListRow(row.number, cells, "urgent" if row.holds else "")


def _built_to(parts: Sequence[HullPart]) -> str:
    """`r3`, or `r3, deck r4`: the release of most parts, then those that differ."""
    if not parts:
        return ""
    most = Counter(part.revision for part in parts).most_common(1)[0][0]
    return ", ".join([most, *(f"{p.part} {p.revision}" for p in parts if p.revision != most)])


def _page(record: HullRecord, weighings: Sequence[Weighed]) -> Iterator[Content]:
    yield line((f"Hull {record.number}", "bold"), f"  {record.hull.model}, {record.state.state}")
    for hold in record.holds:
        yield line((f"HOLD  {hold.zone}: {hold.reason} ({hold.record})", "bold $accent"))
    for over in exceeded_as_built(record):
        yield line((over, "bold $accent"))
    for part in record.parts:
        yield _part(part)
    yield from _weighings(weighings)
    yield from _deviations(record)
    for row in record.observations:
        if row.state != "answered":
            where = f"{row.zone_now}{former_words(row.former)}"
            seen = f"{row.id} {row.trial.observation} at {where}, severity {row.trial.severity}"
            yield line(("open  ", "bold"), f"{seen}: {row.trial.text}")
    for lack in record.lacking:
        action = f", decided: {lack.action}" if lack.action else ""
        yield line(("without  ", "bold"), f"{lack.change} {lack.title} ({lack.part}, {lack.label}{action})")


def _part(part: PartShown) -> Content:
    built = part.part
    mass = quantity("mass_kg", part.mass_kg)
    moved = "" if part.tag_commit == built.commit else "  the release tag does not stand there any more"
    on = day_words(built.on.isoformat())
    return line(
        f"  {built.part:<12} {built.revision:<5} {built.state:<10} {on:<12} computed {mass}",
        (moved, "bold $accent"),
    )


def _weighings(weighings: Sequence[Weighed]) -> Iterator[Content]:
    for one in weighings:
        copy = former_words(one.built) if one.is_former else ""
        given = f"{one.weighing.part}{copy} {one.weighing.state} {quantity('mass_kg', one.net_kg)}"
        against = ""
        if one.difference_kg is not None:
            change = signed_quantity("mass_kg", one.difference_kg)
            against = f", {change} against computed ({percent(one.percent)})"
        mean = (
            f", mean of {len(one.mean_over)} hulls {percent(one.mean_percent)}"
            if len(one.mean_over) > 1
            else ""
        )
        fibre = ""
        if one.apparent_fibre_fraction is not None:
            fibre = f", apparent fibre fraction {number('fibre_mass_fraction', one.apparent_fibre_fraction)}"
            if one.computed_fibre_fraction is not None:
                fibre += f" (computed {number('fibre_mass_fraction', one.computed_fibre_fraction)})"
        yield line(("weighed  ", "bold"), f"{given}{against}{mean}{fibre}")


def _deviations(record: HullRecord) -> Iterator[Content]:
    for part in record.parts:
        for zone in part.zones or ():
            for shown in zone.deviations:
                state = state_in_words(shown.deviation, shown.state)
                yield line(
                    ("deviation  ", "bold"), f"{shown.id} {zone.name}: {state}: {shown.deviation.text}"
                )
