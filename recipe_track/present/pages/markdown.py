"""A comparison as a short Markdown comment for a code review: text typed by people stays text."""

import re
from collections.abc import Iterable, Iterator, Sequence

from recipe_track.figures.results import ZoneFigures
from recipe_track.impact.effects import Delta, Deltas, ZoneImpact
from recipe_track.impact.rows import Row
from recipe_track.present.words.causes import cause_list
from recipe_track.present.words.comparison import (
    STATUS_WORDS,
    by_effect,
    caution_lines,
    exceeded_everywhere,
    later_words,
    no_reason_words,
    reach_lines,
    shows_change,
)
from recipe_track.present.words.figures import (
    CAUTION,
    CRAFT_SHOWN,
    ZONE_SHOWN,
    requirement_words,
    revision_words,
)
from recipe_track.present.words.layers import layer_words, row_sign
from recipe_track.present.words.plain import shortened
from recipe_track.present.words.units import labelled, number, relative, signed_quantity
from recipe_track.recipe.materials import mats_of
from recipe_track.review.change.comparison import Comparison
from recipe_track.review.change.reasons import Reason

LONGEST_TEXT = 400
# What formats inside a line, a colon or dot that makes an address a link, and what starts a block.
_ACTING = re.compile(
    r"[\\`*_{}\[\]!~$#]|:(?=\S)|(?<=www)\.|^[-+=](?=\s|-|=)|(?<=^\d)[.)](?=\s)|(?<=^\d\d)[.)](?=\s)",
    re.IGNORECASE,
)
_ENTITIES = {"&": "&amp;", "<": "&lt;", ">": "&gt;", "|": "&#124;"}
_ENTITIES["@"] = "@\u2060"  # a word joiner, not visible, keeps what follows from being linked or notified


def one_line(text: str, width: int = LONGEST_TEXT) -> str:
    """Text typed by people on one line of Markdown: nothing in it formats, links, or ends a table cell."""
    escaped = _ACTING.sub(r"\\\g<0>", shortened(text, width))
    return "".join(_ENTITIES.get(character, character) for character in escaped)


def markdown_table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """A table of cells that are written as plain text."""
    yield _row(head)
    yield "| --- |" + " ---: |" * (len(head) - 1)
    yield from (_row(row) for row in rows)


def _row(cells: Sequence[str]) -> str:
    return f"| {' | '.join(one_line(cell) for cell in cells)} |"


def compare_markdown(comparison: Comparison) -> str:
    """Heading, craft, reasons, reach, then every changed zone in a few lines."""
    return "\n".join(_lines(comparison)) + "\n"


def _lines(comparison: Comparison) -> Iterator[str]:
    old, new = comparison.before.revision, comparison.after.revision
    changed = by_effect([z for z in comparison.impact.zones if z.status != "unchanged"])
    revisions = f"{revision_words(old)} → {revision_words(new)}"
    yield f"### {one_line(comparison.model)}: {one_line(revisions)}"
    yield ""
    yield f"{len(changed)} of {len(comparison.impact.zones)} zones changed"
    yield ""
    yield from _figure_table(comparison.impact.craft.figures, CRAFT_SHOWN, comparison.currency)
    craft = comparison.craft
    missed = [t for t in craft.targets if t.met is False] if craft else []
    yield from _list(f"target: {requirement_words(t, comparison.currency)}" for t in missed)
    yield from _list(exceeded_everywhere(comparison.after.zones().values()))
    yield ""
    yield "**Why**"
    yield ""
    yield from [_reason(reason) for reason in comparison.reasons] or [f"- {no_reason_words(comparison)}"]
    yield from _reach(comparison)
    for zone in changed:
        yield from _zone(zone, comparison)
    yield ""
    yield one_line(CAUTION)


def _figure_table(figures: Deltas, keys: Sequence[str], currency: str | None) -> Iterator[str]:
    found = [(key, figures.get(key)) for key in keys]
    rows = [_figure_row(key, delta, currency) for key, delta in found if delta and shows_change(key, delta)]
    if rows:
        yield from markdown_table(("figure", "before", "after", "change", "%"), rows)
    else:
        yield "no figure changed"


def _figure_row(key: str, delta: Delta, currency: str | None) -> tuple[str, ...]:
    return (
        labelled(key, currency),
        number(key, delta.before),
        number(key, delta.after),
        signed_quantity(key, delta.delta, currency),
        relative(key, delta.percent),
    )


def _list(lines: Iterable[str]) -> Iterator[str]:
    for line in lines:
        yield f"- {one_line(line)}"


def _reason(reason: Reason) -> str:
    name = f"**{reason.change}** " if reason.change else "(no change record) "
    undone = "UNDONE: " if reason.undone else ""
    said = f"- {undone}{name}{one_line(reason.title)}"
    if reason.reason != reason.title:
        said += f": “{one_line(reason.reason)}”"
    if reason.trials:
        said += f" — answers {', '.join(reason.trials)}"
    if reason.approved_by:
        said += f" — approved by {one_line(reason.approved_by.split(' <')[0])}"
    elif reason.change:
        said += " — not approved"
    return said + later_words(reason)


def _reach(comparison: Comparison) -> Iterator[str]:
    lines = list(reach_lines(comparison.reach, comparison.model))
    if lines:
        yield ""
        yield "**Reach**"
        yield ""
        yield from _list(lines)


def _zone(zone: ZoneImpact, comparison: Comparison) -> Iterator[str]:
    after = comparison.after.zones().get(zone.zone)
    title = f" · {one_line(after.name)}" if after is not None and after.name else ""
    was = f" (was {one_line(zone.before_zone)})" if zone.before_zone not in (None, zone.zone) else ""
    yield ""
    yield f"**{one_line(zone.zone)}**{was}{title} · {STATUS_WORDS[zone.status]}"
    yield ""
    rows = [row for row in zone.layers if row.mark != "kept"]
    mats = mats_of({**comparison.before.snapshot.materials, **comparison.after.snapshot.materials})
    yield from _list(_edit(row, mats) for row in rows)
    if rows:
        yield ""
    yield from _figure_table(zone.figures, ZONE_SHOWN, comparison.currency)
    causes = (zone.causes or {}).get("mass_kg")
    if causes and zone.figures["mass_kg"].delta:
        yield ""
        yield f"mass because of {one_line(cause_list('mass_kg', causes, zone.edits))}"
    if after is not None:
        yield from _standing(after, comparison.before.zones().get(zone.before_zone or ""))


def _edit(row: Row, mats: frozenset[str]) -> str:
    sides = " → ".join(layer_words(side, mats) for side in (row.before, row.after) if side is not None)
    return f"{row_sign(row)} {row.mark}: {sides}"


def _standing(after: ZoneFigures, before: ZoneFigures | None) -> Iterator[str]:
    lines = list(caution_lines(after, before))
    if lines:
        yield ""
        yield from _list(lines)
