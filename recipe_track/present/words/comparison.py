"""What a comparison comes to, in words: effects, reasons, reach, balance."""

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from recipe_track.figures.results import ZoneFigures
from recipe_track.impact.effects import Balance, Delta, ZoneImpact
from recipe_track.present.words.figures import (
    CRAFT_SHOWN,
    ZONE_SHOWN,
    day_words,
    exceeded_lines,
    frequency_changes,
    insignificant_lines,
    other_notes,
    requirement_words,
)
from recipe_track.present.words.plain import headed, shortened, visible
from recipe_track.present.words.records import hold_line, observation_words
from recipe_track.present.words.records import observation_words as observed
from recipe_track.present.words.units import (
    above_noise,
    change_in,
    number,
    relative,
    signed,
    signed_quantity,
    unit_of,
    words_for,
)
from recipe_track.recipe.hulls import OPEN
from recipe_track.recipe.quantities import quantities_of
from recipe_track.review.change.comparison import Comparison
from recipe_track.review.change.reach import ChangeReach, OpenObservation, ReachedPart
from recipe_track.review.change.reasons import AnsweredTrial, Reason

if TYPE_CHECKING:
    from rich.console import RenderableType


STATUS_WORDS = {
    "added": "new zone",
    "removed": "zone taken out",
    "changed": "changed",
    "unchanged": "unchanged",
}


def craft_lines(comparison: Comparison) -> Iterator[str]:
    """The craft's totals, their change, and the targets they are held against."""
    figures, currency = comparison.impact.craft.figures, comparison.currency
    craft = comparison.craft
    yield f"craft, {visible(craft.condition)} condition" if craft else "craft"
    for key in CRAFT_SHOWN:
        yield f"  {delta_words(key, figures.get(key), currency)}"
    yield from (f"  {line}" for line in balance_lines(comparison))
    yield from (f"  {line}" for line in insignificant_lines(comparison.uncertainties.craft, currency))
    for target in craft.targets if craft else ():
        yield f"  target: {requirement_words(target, currency)}"


def balance_lines(comparison: Comparison) -> Iterator[str]:
    """Sinkage, trim and heel where the model states its hydrostatics."""
    balance = comparison.impact.craft.balance
    shown = [
        f"{words_for(key)} {change_in(balance, key)}"
        for key in quantities_of(Balance)
        if getattr(balance, key) is not None
    ]
    if shown:
        yield f"{', '.join(shown)} (deeper, bow down and to port are positive)"


def delta_words(key: str, delta: Delta | None, currency: str | None = None) -> str:
    """`mass 31.2 → 35.6 kg (+4.4 kg, +14 %)`."""
    if delta is None:
        return f"{words_for(key)} –"
    unit = unit_of(key, currency)
    before, after = number(key, delta.before), number(key, delta.after)
    if delta.delta is None:
        return f"{words_for(key)} {before} → {after} {unit}".rstrip()
    if not above_noise(key, delta.delta):
        return f"{words_for(key)} {after} {unit}".rstrip() + ", unchanged"
    change = f"{signed(key, delta.delta)} {unit}".rstrip()
    share = relative(key, delta.percent)
    share = f", {share}" if share else ""
    return f"{words_for(key)} {before} → {after} {unit} ({change}{share})".replace("  ", " ")


def reason_lines(comparison: Comparison) -> "Iterator[RenderableType]":
    """Why: the change records between the two revisions, with their observations."""
    if not comparison.reasons:
        yield headed("why  ", no_reason_words(comparison))
    for reason in comparison.reasons:
        yield headed("why  ", reason_words(reason))
        yield from (f"     {answered_words(seen)}" for seen in reason.observations)


def answered_words(seen: AnsweredTrial) -> str:
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
    return f"{undone}{name}{title}{why}{by}{later_words(reason)}"


def later_words(reason: Reason) -> str:
    """`; later NOT CONFIRMED` of a change that did not do what it was to do, by the last who looked."""
    return "; later NOT CONFIRMED" if reason.outcome == "not-confirmed" else ""


def _person(person: str | None) -> str:
    return visible((person or "").split(" <")[0])


def zone_heading(zone: ZoneImpact, after: ZoneFigures | None) -> str:
    """`deck/deck-support · Deck support flange · changed`."""
    title = f" · {visible(after.name)}" if after is not None and after.name else ""
    was = f" (was {visible(zone.before_zone)})" if zone.before_zone not in (None, zone.zone) else ""
    upside = " · stack turned upside down" if zone.reversed else ""
    return f"{visible(zone.zone)}{was}{title} · {STATUS_WORDS[zone.status]}{upside}"


def changed_figures(figures: Mapping[str, Delta], currency: str | None) -> Iterator[str]:
    """The figures of a zone that people act on, changed ones only."""
    for key in ZONE_SHOWN:
        delta = figures.get(key)
        if delta is not None and shows_change(key, delta):
            yield delta_words(key, delta, currency)


def caution_lines(figures: ZoneFigures | None, before: ZoneFigures | None = None) -> Iterator[str]:
    """Holds, uses above 1, required minima, notes of a zone and what shakes it now."""
    if figures is None:
        return
    if figures.hold:
        yield f"HOLD because of {', '.join(figures.hold)}"
    yield from map(visible, exceeded_lines(figures))
    if figures.required and all(r.met for r in figures.required):
        yield "required minima: all met"
    for requirement in figures.required:
        if not requirement.met:
            yield f"required: {requirement_words(requirement)}"
    for note in (*other_notes(figures), *frequency_changes(before, figures)):
        yield f"note: {visible(note)}"


SIDE_WORDS = {"before": "without this change", "between": "with some of it", "after": "with this change"}


def reach_lines(reach: ChangeReach, model: str) -> Iterator[str]:
    """The whole reach, one matter a line; what is not met is not said."""
    yield from hull_lines(reach)
    for seen in reach.observations:
        yield f"open {open_words(seen)}"
    for hold in reach.holds:
        yield hold_line(hold)
    yield from material_lines(reach, model)


def hull_lines(reach: ChangeReach) -> Iterator[str]:
    """Which parts of which hulls are built to a release without and with the change, and in build now."""
    if reach.parts and not reach.hulls:
        yield f"no hull number is recorded with this part yet: {', '.join(reach.parts)}"
    for side, words in SIDE_WORDS.items():
        parts = [part for part in reach.hulls if part.side == side]
        if parts:
            yield f"{words}: {built_words(parts)}"
    if building := reach.in_build():
        states = "; ".join(f"hull {visible(p.hull)} {p.part} {p.state} ({p.revision})" for p in building)
        yield f"in build now: {states}"


def built_words(parts: Iterable[ReachedPart]) -> str:
    """`hull 013 deck r4, hull 016 deck r8 (planned)`, the parts of one hull together."""
    by_hull: dict[str, list[str]] = {}
    for part in parts:
        done = f" with {', '.join(part.done)}" if part.done else ""
        state = f" ({part.state})" if part.state in OPEN else ""
        by_hull.setdefault(part.hull, []).append(f"{part.part} {part.revision}{done}{state}")
    return "; ".join(f"hull {visible(hull)} {', '.join(built)}" for hull, built in by_hull.items())


def open_words(seen: OpenObservation) -> str:
    """`T-7K3QX2, hull 014, deck/aft-deck: noise, severity 2, contained: “…”`."""
    place = f"{seen.trial}, hull {visible(seen.hull)}, {visible(seen.zone)}"
    state = ", contained" if seen.state == "contained" else ""
    what = f"{observation_words(seen.observation)}, severity {seen.severity}{state}"
    return f"{place}: {what}: “{shortened(seen.text, 160)}”"


def material_lines(reach: ChangeReach, model: str) -> Iterator[str]:
    """Changed materials with the zones and the other models that use them."""
    for material in reach.materials:
        own = material.zones.get(model, ())
        here = f"{len(own)} zone{'s' if len(own) != 1 else ''} of this model"
        others = "; ".join(f"{name}: {', '.join(zones)}" for name, zones in material.others(model).items())
        elsewhere = f"other models: {others}" if others else "no other model"
        yield f"changed material {material.material}: {here} ({', '.join(own)}); {elsewhere}"
    if reach.prices:
        yield f"changed prices: {', '.join(reach.prices)}"


MOST = 4
TELLING = ("mass_kg", "ei_y_kn_m2_per_m", "ei_x_kn_m2_per_m", "ei_stiffener_kn_m2", "cost")


def changed_words(comparison: Comparison) -> str:
    """`5 of 23 zones changed: deck/side (+4.2 kg), …`, those with the greatest effect by name."""
    zones = comparison.impact.zones
    changed = by_effect([zone for zone in zones if zone.status != "unchanged"])
    largest = [f"{visible(z.zone)}{_effect_words(z, comparison.currency)}" for z in changed[:MOST]]
    rest = f" and {len(changed) - MOST} more" if len(changed) > MOST else ""
    return f"{len(changed)} of {len(zones)} zones changed{': ' if largest else ''}{', '.join(largest)}{rest}"


def _effect_words(zone: ZoneImpact, currency: str | None) -> str:
    """` (+4.2 kg)`: the mass, or where that stays the first figure that does not."""
    if zone.status in ("added", "removed"):
        return " (new)" if zone.status == "added" else " (taken out)"
    for key in TELLING:
        delta = zone.figures.get(key)
        if delta is not None and delta.delta is not None and shows_change(key, delta):
            words = f"{words_for(key)} " if key.startswith("ei_") else ""
            return f" ({words}{signed_quantity(key, delta.delta, currency)})"
    return ""


def missed_lines(changed: list[ZoneImpact], comparison: Comparison) -> Iterator[str]:
    """What nobody may overlook, said before any table."""
    figures = comparison.after.zones()
    standing = [figures[zone.zone] for zone in by_effect(changed) if zone.zone in figures]
    for zone in standing:
        missed = [requirement_words(r).split(",")[0] for r in zone.required if r.met is False]
        if missed:
            yield f"required minima NOT MET in {visible(zone.zone)}: {', '.join(missed)}"
    yield from exceeded_everywhere(figures.values())


def exceeded_everywhere(zones: Iterable[ZoneFigures]) -> Iterator[str]:
    """Every use above 1 after a change, in zones that it leaves as they were, too."""
    for zone in zones:
        for line in exceeded_lines(zone):
            yield visible(line).replace("EXCEEDED:", f"EXCEEDED in {visible(zone.zone)}:", 1)


def by_effect(zones: list[ZoneImpact]) -> list[ZoneImpact]:
    """Zones by the size of what the change does to them: first mass, then stiffness, then cost."""

    def effect(zone: ZoneImpact) -> tuple[float, ...]:
        return tuple(_size(zone.figures.get(key)) for key in TELLING)

    return sorted(zones, key=effect, reverse=True)


def _size(delta: Delta | None) -> float:
    """How much changed; a zone that comes or goes counts with all it has."""
    if delta is None:
        return 0.0
    return abs((delta.after or 0.0) - (delta.before or 0.0))


def no_reason_words(comparison: Comparison) -> str:
    """What to say where no reason is recorded: whether one is missing, or still to be written."""
    impact = comparison.impact
    same = all(zone.status == "unchanged" for zone in impact.zones)
    if same and not any(shows_change(key, delta) for key, delta in impact.craft.figures.items()):
        return "no layer and no figure changed, and no reason is recorded"
    if comparison.after.revision.commit is None:
        return "no reason is recorded yet; `recipe-track change propose` writes it down"
    return "no reason is recorded between these revisions"


def shows_change(key: str, delta: Delta) -> bool:
    """Whether a figure changed by more than computing noise, came or went."""
    if delta.delta is None:
        return (delta.before is None) != (delta.after is None)
    return above_noise(key, delta.delta)
