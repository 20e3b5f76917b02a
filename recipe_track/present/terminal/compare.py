"""What a change does, as JSON and as text: stacks side by side, figures, causes, reasons."""

from collections.abc import Iterator

from rich.console import RenderableType

from recipe_track.impact.effects import ZoneImpact
from recipe_track.present.terminal.stacks import stack_tables
from recipe_track.present.words.causes import also_changed_lines, causes_words
from recipe_track.present.words.comparison import (
    by_effect,
    caution_lines,
    changed_figures,
    changed_words,
    craft_lines,
    missed_lines,
    reach_lines,
    reason_lines,
    zone_heading,
)
from recipe_track.present.words.figures import CAUTION, insignificant_lines, revision_words
from recipe_track.present.words.plain import Folded, hanging, headed, visible
from recipe_track.review.change.comparison import Comparison


def compare_text(comparison: Comparison) -> Iterator[RenderableType]:
    """The whole comparison for people: heading, craft, reasons, then every changed zone."""
    yield from hanging(_compare_lines(comparison), deeper=2)


def _compare_lines(comparison: Comparison) -> Iterator[RenderableType]:
    changed = [z for z in comparison.impact.zones if z.status != "unchanged"]
    old, new = comparison.before.revision, comparison.after.revision
    yield f"{visible(comparison.model)}: {revision_words(old)} → {revision_words(new)}"
    yield Folded("", changed_words(comparison), 2)
    yield from (Folded("", line, 2) for line in missed_lines(changed, comparison))
    yield ""
    yield from craft_lines(comparison)
    yield ""
    yield from reason_lines(comparison)
    yield from (headed("reach  ", line) for line in reach_lines(comparison.reach, comparison.model))
    for zone in by_effect(changed):
        yield ""
        yield from _zone_text(zone, comparison)
    yield ""
    yield CAUTION


def _zone_text(zone: ZoneImpact, comparison: Comparison) -> Iterator[RenderableType]:
    before = comparison.before.zones().get(zone.before_zone or "")
    after = comparison.after.zones().get(zone.zone)
    currency = comparison.currency
    yield zone_heading(zone, after)
    yield from stack_tables(zone, comparison)
    yield from (f"  {line}" for line in also_changed_lines(zone, comparison))
    for line in changed_figures(zone.figures, currency):
        yield f"  {line}"
    yield from (f"  {line}" for line in causes_words(zone, currency))
    yield from (
        f"  {line}" for line in insignificant_lines(comparison.uncertainties.zones.get(zone.zone), currency)
    )
    yield from (f"  {line}" for line in caution_lines(after, before))
