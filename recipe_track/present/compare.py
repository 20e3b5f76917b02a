"""What a change does, as JSON and as text: stacks side by side, figures, causes, reasons."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from recipe_track.figures.zone import ZoneFigures
from recipe_track.impact.outcome import Delta, ZoneImpact
from recipe_track.present.beside import beside_lines
from recipe_track.present.causes import causes_words, is_something
from recipe_track.present.figures import (
    CAUTION,
    day_words,
    other_notes,
    plain_data,
    requirement_words,
    revision_json,
    revision_words,
)
from recipe_track.present.lines import Folded, beside, hanging
from recipe_track.present.plain import shortened, visible
from recipe_track.present.reach import reach_json, reach_lines
from recipe_track.present.records import observation_words as observed
from recipe_track.present.spread import spread_lines
from recipe_track.present.stacks import stack_tables
from recipe_track.present.summary import by_effect, changed_words, missed_lines, no_reason_words, shows_change
from recipe_track.present.units import measure, number, relative, signed, unit_of
from recipe_track.procedures.comparison import Comparison
from recipe_track.procedures.reasons import Answered, Reason

if TYPE_CHECKING:
    from rich.console import RenderableType

STATUS_WORDS = {
    "added": "new zone",
    "removed": "zone taken out",
    "changed": "changed",
    "unchanged": "unchanged",
}


def compare_json(comparison: Comparison) -> dict[str, Any]:
    """The body of `compare --json`."""
    impact, craft = comparison.impact, comparison.craft
    return {
        "model": comparison.model,
        "before": revision_json(comparison.before.revision),
        "after": revision_json(comparison.after.revision),
        "currency": comparison.currency,
        "reasons": plain_data(comparison.reasons),
        "zones": [_zone_json(zone, comparison) for zone in impact.zones],
        "parts": plain_data(impact.parts),
        "craft": {**plain_data(impact.craft), "targets": plain_data(craft.targets if craft else ())},
        "hulls": {"before": list(comparison.before.hulls), "after": list(comparison.after.hulls)},
        "reach": reach_json(comparison.reach),
    }


def _zone_json(zone: ZoneImpact, comparison: Comparison) -> dict[str, Any]:
    after = comparison.after.zones().get(zone.zone)
    standing: dict[str, Any] = {"required": [], "notes": [], "hold": []}
    if after is not None:
        standing = {key: plain_data(getattr(after, key)) for key in standing}
    spread = comparison.spreads.zones.get(zone.zone)
    return {**plain_data(zone), **standing, "spread": plain_data(spread)}


def compare_text(comparison: Comparison) -> "Iterator[RenderableType]":
    """The whole comparison for people: heading, craft, reasons, then every changed zone."""
    yield from hanging(_compare_lines(comparison), deeper=2)


def _compare_lines(comparison: Comparison) -> "Iterator[RenderableType]":
    changed = [z for z in comparison.impact.zones if z.status != "unchanged"]
    old, new = comparison.before.revision, comparison.after.revision
    yield f"{visible(comparison.model)}: {revision_words(old)} → {revision_words(new)}"
    yield Folded("", changed_words(comparison), 2)
    yield from (Folded("", line, 2) for line in missed_lines(changed, comparison))
    yield ""
    yield from craft_lines(comparison)
    yield ""
    yield from reason_lines(comparison)
    yield from (beside("reach  ", line) for line in reach_lines(comparison.reach, comparison.model))
    for zone in by_effect(changed):
        yield ""
        yield from _zone_text(zone, comparison)
    yield ""
    yield CAUTION


def craft_lines(comparison: Comparison) -> Iterator[str]:
    """The craft's totals, their change, and the targets they are held against."""
    figures, currency = comparison.impact.craft.figures, comparison.currency
    craft = comparison.craft
    yield f"craft, {visible(craft.condition)} condition" if craft else "craft"
    for key in ("mass_kg", "laminate_mass_kg", "cost"):
        yield f"  {delta_words(key, figures.get(key), currency)}"
    centre = [delta_words(key, figures.get(key)) for key in ("lcg_m", "tcg_m", "vcg_m")]
    for line in centre:
        yield f"  {line}"
    yield from (f"  {line}" for line in balance_lines(comparison))
    yield from (f"  {line}" for line in spread_lines(comparison.spreads.craft, currency))
    for target in craft.targets if craft else ():
        yield f"  target: {requirement_words(target, currency)}"


def balance_lines(comparison: Comparison) -> Iterator[str]:
    """Sinkage, trim and heel where the model states its hydrostatics."""
    balance = comparison.impact.craft.balance
    shown = [
        f"{measure(key).words} {signed(key, getattr(balance, key))} {measure(key).unit}"
        for key in ("sinkage_mm", "trim_mm", "heel_deg")
        if getattr(balance, key) is not None
    ]
    if shown:
        yield f"{', '.join(shown)} (deeper, bow down and to port are positive)"


def delta_words(key: str, delta: Delta | None, currency: str | None = None) -> str:
    """`mass 31.2 → 35.6 kg (+4.4 kg, +14 %)`."""
    if delta is None:
        return f"{measure(key).words} –"
    unit = unit_of(key, currency)
    before, after = number(key, delta.before), number(key, delta.after)
    if delta.delta is None:
        return f"{measure(key).words} {before} → {after} {unit}".rstrip()
    if not is_something(measure(key), delta.delta):
        return f"{measure(key).words} {after} {unit}".rstrip() + ", unchanged"
    change = f"{signed(key, delta.delta)} {unit}".rstrip()
    share = relative(key, delta.percent)
    share = f", {share}" if share else ""
    return f"{measure(key).words} {before} → {after} {unit} ({change}{share})".replace("  ", " ")


def reason_lines(comparison: Comparison) -> "Iterator[RenderableType]":
    """Why: the change records between the two revisions, with their observations."""
    if not comparison.reasons:
        yield beside("why  ", no_reason_words(comparison))
    for reason in comparison.reasons:
        yield beside("why  ", reason_words(reason))
        yield from (f"     {observation_words(seen)}" for seen in reason.observations)


def observation_words(seen: Answered) -> str:
    """`trial T-7K3QX2, hull 014, 22 Apr 2026: too flexible at deck/deck-support, severity 3: “…”`."""
    place = f"trial {seen.trial}, hull {visible(seen.hull)}, {day_words(seen.on)}"
    what = f"{observed(seen.observation)} at {visible(seen.zone)}, severity {seen.severity}"
    return f"{place}: {what}: “{shortened(seen.text, 200)}”"


def reason_words(reason: Reason) -> str:
    """`C-2M9XQ4 Stiffen the deck support: “too flexible…”, approved by …`."""
    name = f"{reason.change} " if reason.change else "(no change record) "
    undone = "UNDONE: " if reason.undone else ""
    title = shortened(reason.title, 120)
    why = f": “{shortened(reason.reason, 400)}”" if reason.reason != reason.title else ""
    by = f", proposed by {_person(reason.proposed_by)}" if reason.proposed_by else ""
    if reason.approved_by:
        by += f", approved by {_person(reason.approved_by)}"
    elif reason.change:
        by += ", not approved"
    return f"{undone}{name}{title}{why}{by}"


def _person(person: str | None) -> str:
    return visible((person or "").split(" <")[0])


ZONE_KEYS = (
    "mass_kg",
    "thickness_mm",
    "ei_x_kn_m2_per_m",
    "ei_y_kn_m2_per_m",
    "deflection_mm",
    "patch_deflection_mm",
    "strain_use",
    "core_shear_use",
    "wrinkling_use",
    "cost",
)


def zone_heading(zone: ZoneImpact, after: ZoneFigures | None) -> str:
    """`deck/deck-support · Deck support flange · changed`."""
    title = f" · {visible(after.name)}" if after is not None and after.name else ""
    was = f" (was {visible(zone.before_zone)})" if zone.before_zone not in (None, zone.zone) else ""
    upside = " · stack turned upside down" if zone.reversed else ""
    return f"{visible(zone.zone)}{was}{title} · {STATUS_WORDS[zone.status]}{upside}"


def _zone_text(zone: ZoneImpact, comparison: Comparison) -> "Iterator[RenderableType]":
    after = comparison.after.zones().get(zone.zone)
    currency = comparison.currency
    yield zone_heading(zone, after)
    yield from stack_tables(zone, comparison)
    yield from (f"  {line}" for line in beside_lines(zone, comparison))
    for line in changed_figures(zone.figures, currency):
        yield f"  {line}"
    yield from (f"  {line}" for line in causes_words(zone, currency))
    yield from (f"  {line}" for line in spread_lines(comparison.spreads.zones.get(zone.zone), currency))
    yield from (f"  {line}" for line in standing_lines(after))


def changed_figures(figures: Mapping[str, Delta], currency: str | None) -> Iterator[str]:
    """The figures of a zone that people act on, changed ones only."""
    for key in ZONE_KEYS:
        delta = figures.get(key)
        if delta is not None and shows_change(key, delta):
            yield delta_words(key, delta, currency)


def standing_lines(figures: ZoneFigures | None) -> Iterator[str]:
    """Holds, required minima and notes of a zone."""
    if figures is None:
        return
    if figures.hold:
        yield f"HOLD because of {', '.join(figures.hold)}"
    if figures.required and all(r.met for r in figures.required):
        yield "required minima: all met"
    for requirement in figures.required:
        if not requirement.met:
            yield f"required: {requirement_words(requirement)}"
    for note in other_notes(figures):
        yield f"note: {visible(note)}"
