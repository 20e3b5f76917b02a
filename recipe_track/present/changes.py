"""Changes as text, those that wait first, and as JSON."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from recipe_track.present.figures import plain_data
from recipe_track.present.plain import shortened, visible
from recipe_track.present.records import day, decision_lines, indented, record_json, verification_lines
from recipe_track.present.units import measure, signed_quantity
from recipe_track.procedures.expected import CRAFT_KEYS, ZONE_KEYS
from recipe_track.procedures.register import ChangeRow, ChangeShown
from recipe_track.recipe.records import Change, Expected, ExpectedZone

if TYPE_CHECKING:
    from rich.console import RenderableType


def changes_json(rows: Sequence[ChangeRow]) -> dict[str, Any]:
    """The body of `change list --json`."""
    return {"changes": [row_json(row) for row in rows]}


def row_json(row: ChangeRow) -> dict[str, Any]:
    """A change with its state."""
    return {
        **record_json(row.id, row.change),
        "state": row.state,
        "branch": row.branch,
        "commit": row.landing.commit.id if row.landing else None,
        "release": row.release,
        "decisions": [record_json(i, decision) for i, decision in row.decisions],
        "verifications": [record_json(i, verification) for i, verification in row.verifications],
    }


def change_json(shown: ChangeShown) -> dict[str, Any]:
    """The body of `change show --json`."""
    return {
        **row_json(shown.row),
        "now": shown.now.model_dump(mode="json", exclude_none=True) if shown.now else None,
        "differences": list(shown.difference),
        "minima": plain_data(shown.concerns),
        "hulls": list(shown.hulls),
        "proof": shown.proof,
        "trouble": shown.trouble,
    }


def changes_text(rows: Sequence[ChangeRow]) -> "Iterator[RenderableType]":
    """One change per row."""
    from rich.table import Table
    from rich.text import Text

    if not rows:
        yield "no changes"
        return
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for head in ("id", "of", "state", "in", "what and why"):
        table.add_column(head, overflow="fold")
    for row in rows:
        told = f"{shortened(row.change.title, 70)} — {shortened(row.change.reason, 90)}"
        cells = (row.id, day(row.change.on), row.state, row.release or "", told)
        table.add_row(*(Text(cell) for cell in cells))
    yield table


def change_text(shown: ChangeShown) -> "Iterator[RenderableType]":
    """One change in full."""
    row, change = shown.row, shown.row.change
    yield f"{row.id}  {visible(change.title)}"
    released = f", first in {row.release}" if row.release else ""
    yield f"  {row.state}{released}; {change.category}, {change.model}"
    yield "  why:"
    yield from indented(change.reason)
    yield f"  proposed by {visible(change.by)}, {day(change.on)}"
    if row.branch:
        yield f"  waits on branch {visible(row.branch)}"
    if change.trials:
        yield f"  answers {', '.join(change.trials)}"
    yield from _considered(change)
    yield from (f"  {line}" for line in decision_lines(row.decisions, shown.proof))
    yield from _effect(shown)
    yield from (f"  {line}" for line in verification_lines(row.verifications))
    if row.state in ("approved", "released"):
        yield "  not verified yet"
    if shown.hulls:
        yield f"  on hulls {', '.join(shown.hulls)}"


def _considered(change: Change) -> Iterator[str]:
    considered = change.considered
    if considered is None:
        return
    yield "  what else was weighed:"
    if isinstance(considered, str):
        yield from indented(considered)
        return
    yield from indented(considered.text) if considered.text else ()
    for option in considered.options:
        yield f"    - {visible(option)}"


def _effect(shown: ChangeShown) -> "Iterator[RenderableType]":
    if shown.trouble:
        yield f"  its effect cannot be computed now: {visible(shown.trouble)}"
    if shown.expected is not None:
        yield "  expected when proposed:"
        yield from _expected_lines(shown.expected, shown.currency)
    elif shown.now is not None:
        yield "  nothing was expected in figures; computed now:"
        yield from _expected_lines(shown.now, shown.currency)
    if shown.difference:
        yield "  today's figures differ from those expected then:"
        yield from (f"    {visible(line)}" for line in shown.difference)
    elif shown.expected is not None and shown.now is not None:
        yield "  computed again, the figures are as expected"
    if shown.concerns:
        yield "  required minima:"
        yield from (f"    {visible(c.zone)}: {visible(c.text)}" for c in shown.concerns)


def _expected_lines(expected: Expected, currency: str | None) -> Iterator[str]:
    rows: list[tuple[str, Expected | ExpectedZone, Sequence[str]]] = [("craft", expected, CRAFT_KEYS)]
    rows += [(visible(name), zone, ZONE_KEYS) for name, zone in expected.zones.items()]
    for name, source, keys in rows:
        values = [(key, getattr(source, key)) for key in keys if getattr(source, key) is not None]
        said = ", ".join(
            f"{measure(key).words} {signed_quantity(key, value, currency)}" for key, value in values
        )
        if said:
            yield f"    {name}: {said}"
