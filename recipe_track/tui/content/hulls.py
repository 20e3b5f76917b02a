"""The fleet: rows, and one hull as it was built."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from textual.content import Content

from recipe_track.present.words.figures import day_words
from recipe_track.present.words.units import percent, quantity, signed_quantity
from recipe_track.recipe.craft import HullPart
from recipe_track.review.hull.as_built import HullRecord, PartShown, hull_record
from recipe_track.review.hull.overview import HullRow
from recipe_track.review.hull.weighings import Weighed, weighed
from recipe_track.review.hull.zones import state_in_words
from recipe_track.tui.plaintext import line, lines
from recipe_track.tui.widgets.rows import Column, ListRow
from recipe_track.workspace import Workspace

COLUMNS = (
    Column("hull", 8),
    Column("status", 14),
    Column("open", 4, right=True),
    Column("dev.", 4, right=True),
    Column("", 4),
    Column("built to", 0),
)


@dataclass(frozen=True, slots=True)
class HullSight:
    """A hull and its weighings."""

    record: HullRecord
    weighings: tuple[Weighed, ...]


def hull_sight(ws: Workspace, number: str) -> HullSight:
    """Everything the screen says of a hull."""
    snapshot = ws.current()
    return HullSight(hull_record(ws, snapshot, number), weighed(ws, snapshot, number))


def fleet_list(rows: Sequence[HullRow]) -> list[ListRow]:
    """One hull per row: what each part is built to, what stands open."""
    return [_row(row) for row in rows]


def _row(row: HullRow) -> ListRow:
    parts = _built_to(row.hull.part)
    hold = "HOLD" if row.holds else ""
    cells = (row.number, row.hull.status, str(row.open_observations), str(row.deviations), hold, parts or "–")
    return ListRow(row.number, cells, "urgent" if row.holds else "")


def _built_to(parts: Sequence[HullPart]) -> str:
    """`r3`, or `r3, deck r4`: the release of most parts, then those that differ."""
    if not parts:
        return ""
    most = Counter(part.revision for part in parts).most_common(1)[0][0]
    return ", ".join([most, *(f"{p.part} {p.revision}" for p in parts if p.revision != most)])


def hull_page(sight: HullSight) -> Content:
    """One hull in full."""
    return lines(_page(sight))


def _page(sight: HullSight) -> Iterator[Content]:
    record = sight.record
    yield line((f"Hull {record.number}", "bold"), f"  {record.hull.model}, {record.hull.status}")
    for hold in record.holds:
        yield line((f"HOLD  {hold.zone}: {hold.reason} ({hold.record})", "bold $accent"))
    for part in record.parts:
        yield _part(part)
    yield from _weighings(sight.weighings)
    yield from _deviations(record)
    for row in record.observations:
        if row.state != "answered":
            seen = f"{row.id} {row.trial.observation} at {row.zone_now}, severity {row.trial.severity}"
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
        given = f"{one.weighing.part} {one.weighing.state} {quantity('mass_kg', one.net_kg)}"
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
            fibre = f", apparent fibre fraction {one.apparent_fibre_fraction:.3f}"
            if one.computed_fibre_fraction is not None:
                fibre += f" (computed {one.computed_fibre_fraction:.3f})"
        yield line(("weighed  ", "bold"), f"{given}{against}{mean}{fibre}")


def _deviations(record: HullRecord) -> Iterator[Content]:
    for part in record.parts:
        for zone in part.zones or ():
            for shown in zone.deviations:
                state = state_in_words(shown.deviation, shown.state)
                yield line(
                    ("deviation  ", "bold"), f"{shown.id} {zone.name}: {state}: {shown.deviation.text}"
                )
