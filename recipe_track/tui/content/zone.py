"""What the Compare screen says of one zone: heading, figures, required minima, causes, reasons."""

from collections.abc import Iterable, Iterator, Mapping

from textual.content import Content

from recipe_track.figures.frequency import entered_bands
from recipe_track.figures.limits import by_figure
from recipe_track.figures.results import Requirement, ZoneFigures
from recipe_track.impact.effects import Delta, ZoneImpact
from recipe_track.present.words.causes import causes_words
from recipe_track.present.words.comparison import (
    answered_words,
    no_reason_words,
    reach_lines,
    reason_words,
    zone_heading,
)
from recipe_track.present.words.figures import (
    ZONE_MAIN,
    ZONE_SHOWN,
    exceeded_lines,
    frequency_notes,
    insignificant_lines,
    other_notes,
    requirement_words,
)
from recipe_track.present.words.units import (
    number,
    percent,
    signed,
    signed_quantity,
    told_apart,
    unit_of,
    words_for,
)
from recipe_track.review.change.comparison import Comparison
from recipe_track.review.change.reasons import Reason
from recipe_track.tui.content.comparison import ComparisonView
from recipe_track.tui.content.stack import kilograms
from recipe_track.tui.text import fitted, line, lines
from recipe_track.tui.widgets.rows import ListRow

_SHORT = {
    "patch_deflection_mm": "under foot load",
    "patch_strain_use": "foot strain use",
    "patch_core_shear_use": "foot core use",
    "patch_wrinkling_use": "foot wrinkl. use",
    "frequency_hz": "frequency",
    "frequency_wet_hz": "frequency, wet",
    "deflection_membrane_mm": "with stretch",
    "structural_thickness_mm": "structural",
    "mass_kg": "mass",
    "s_x_kn_per_m": "shear along",
    "s_y_kn_per_m": "shear across",
    "ei_stiffener_kn_m2": "EI of stiffener",
    "section_modulus_crown_cm3": "W crown",
    "section_modulus_base_cm3": "W base",
    "neutral_axis_mm": "neutral axis",
}
_SIGNS = {"added": "+", "removed": "-", "changed": "~", "unchanged": " "}
_NAME, _NUMBER, _CHANGE, _PERCENT = 16, 8, 15, 7
_LEAST_PERCENT = 0.05


def zone_rows(view: ComparisonView) -> list[ListRow]:
    """Zones for the list: sign, name, change of mass; changed ones first."""
    return [_zone_row(view, zone) for zone in view.zones]


def _zone_row(view: ComparisonView, zone: ZoneImpact) -> ListRow:
    delta = zone.figures.get("mass_kg")
    effect = kilograms(delta.delta) if delta and delta.delta else ""
    if delta and zone.status in ("added", "removed"):
        effect = kilograms((delta.after or 0.0) - (delta.before or 0.0))
    held = any(f.hold for f in view.figures(zone) if f is not None)
    _, after = view.figures(zone)
    over = after is not None and bool(after.exceeded)
    name = f"{zone.zone}{' HOLD' if held else ''}{' OVER 1' if over else ''}"
    look = "urgent" if held or over else "" if zone.status != "unchanged" else "quiet"
    return ListRow(zone.zone, (f"{_SIGNS[zone.status]} {name}", effect), look)


def heading(view: ComparisonView, zone: ZoneImpact) -> Content:
    """`deck/deck-support · Deck support · changed`, and its place in the list."""
    place = view.zones.index(zone) + 1
    _, after = view.figures(zone)
    return line((zone_heading(zone, after), "bold"), (f"   zone {place} of {len(view.zones)}", "$text-muted"))


def numbers(view: ComparisonView, zone: ZoneImpact, every: bool) -> Content:
    """What is wrong first, then the main figures and why the first of them changed, then the rest."""
    before, after = view.figures(zone)
    wrong, fine = _remarks(before, after, _source(view, zone))
    held, currency = after or before, view.currency
    main = _figures(zone.figures, ZONE_MAIN, held, currency)
    others = _figures(zone.figures, _others(zone.figures, every), held, currency)
    causes = [line(text) for text in causes_words(zone, currency)]
    uncertainty = view.comparison.uncertainties.zones.get(zone.zone)
    uncertain = [line(text) for text in insignificant_lines(uncertainty, currency)]
    rings = [line((note, "$text-muted")) for note in (frequency_notes(after) if after else ())]
    return lines([*wrong, *main, *causes[:1], *uncertain, *fine, *others, *causes[1:], *rings])


def _others(figures: Mapping[str, Delta], every: bool) -> Iterator[str]:
    """Every other figure, or those people act on where they changed."""
    for key, delta in figures.items():
        if key not in ZONE_MAIN and (every or (key in ZONE_SHOWN and delta.delta != 0)):
            yield key


def _source(view: ComparisonView, zone: ZoneImpact) -> str:
    written = view.written(zone)
    return (written.required.source if written and written.required else None) or ""


def _remarks(
    before: ZoneFigures | None, figures: ZoneFigures | None, source: str
) -> tuple[list[Content], list[Content]]:
    """Holds, uses above 1, minima not met and notes; and the minima that are met."""
    if figures is None:
        return [], []
    of = f" ({source})" if source else ""
    wrong = [line((f"HOLD because of {', '.join(figures.hold)}", "bold $accent"))] if figures.hold else []
    wrong += [line((text, "bold $accent")) for text in exceeded_lines(figures)]
    missed = [r for r in figures.required if r.met is not True]
    wrong += [line((f"required: {requirement_words(r)}{of}", "bold $accent")) for r in missed]
    wrong += [line((f"note: {note}", "$accent")) for note in other_notes(figures)]
    entered = entered_bands(before.excitation if before else (), figures.excitation)
    wrong += [line((f"note: {note}", "$accent")) for note in entered]
    count = len(figures.required)
    met = f"all {count} required minima met" if count > 1 else "the one required minimum met"
    return wrong, [line(f"{met}{of}")] if count and not missed else []


def _figures(
    figures: Mapping[str, Delta], keys: Iterable[str], held: ZoneFigures | None, currency: str | None
) -> Iterator[Content]:
    required = by_figure(held.required) if held else {}
    for key in keys:
        delta = figures.get(key)
        if delta is not None and (delta.before is not None or delta.after is not None):
            yield _figure(key, delta, required.get(key), currency)


def _figure(key: str, delta: Delta, required: Requirement | None, currency: str | None) -> Content:
    name = fitted(_SHORT.get(key, words_for(key)), _NAME)
    before, after = (fitted(number(key, v), _NUMBER, right=True) for v in (delta.before, delta.after))
    change = change_words(key, delta, currency) or unit_of(key, currency)
    relative = percent(delta.percent) if abs(delta.percent or 0.0) >= _LEAST_PERCENT else ""
    verdict = verdict_words(key, delta, required)
    style = "" if delta.delta else "$text-muted"
    text = f"{name}{before} → {after}{fitted(change, _CHANGE, True)}{fitted(relative, _PERCENT, True)}"
    missed = required is not None and required.met is False
    return line((text, style), (f"  {verdict}", "bold $accent" if missed else ""))


def change_words(key: str, delta: Delta, currency: str | None) -> str:
    """`+4.2 kg`, `no change`, or nothing where there is no comparing."""
    if delta.delta is None:
        return ""
    return "no change" if signed(key, delta.delta) == "0" else signed_quantity(key, delta.delta, currency)


def verdict_words(key: str, delta: Delta, required: Requirement | None) -> str:
    """`better, ≤ 8.00 met`; better or worse only where a requirement says which way is better."""
    if required is None or isinstance(required.limit, tuple):
        return ""
    at_least = required.key.endswith("_min")
    way = "" if not delta.delta else "better, " if (delta.delta > 0) == at_least else "worse, "
    verdict = {True: "met", False: "NOT MET", None: "no figure"}[required.met]
    if required.met is False and required.value is not None:
        value, limit = told_apart(key, (required.limit,), required.value)
        verdict = verdict if value == number(key, required.value) else f"{verdict}: {value}"
    else:
        limit = number(key, required.limit)
    return f"{way}{'≥' if at_least else '≤'} {limit} {verdict}"


def zone_reasons(view: ComparisonView, zone: ZoneImpact) -> Content:
    """The reasons that touch the zone first; the others by their ids."""
    near, others = view.reasons_for(zone)
    if not view.comparison.reasons:
        return line(("why  ", "bold"), no_reason_words(view.comparison))
    rows = [
        line((f"why{f' {n} of {len(near)}' if len(near) > 1 else ''}  ", "bold"), _short_reason(reason))
        for n, reason in enumerate(near, start=1)
    ]
    rest = [r.change or r.title for r in others]
    if rest:
        lead = "also changed in between: " if near else "this zone: none; in between: "
        rows.append(line(("why  ", "bold"), lead, ", ".join(rest)))
    return lines(rows)


def _short_reason(reason: Reason) -> str:
    seen = [f"trial {s.trial}, hull {s.hull}" for s in reason.observations]
    answers = f" — answers {'; '.join(seen)}" if seen else ""
    return f"{reason_words(reason)}{answers}"


def why_page(view: ComparisonView) -> Content:
    """Every reason in full with the observations it answers, and how far the change reaches."""
    comparison = view.comparison
    reach = (line(text) for text in reach_lines(comparison.reach, comparison.model))
    return lines([*_why_page(comparison), line(("How far the change reaches", "bold")), *reach])


def _why_page(comparison: Comparison) -> Iterable[Content]:
    if not comparison.reasons:
        yield line(no_reason_words(comparison))
        yield line("")
    for reason in comparison.reasons:
        yield line(reason_words(reason))
        yield from (line(f"    {answered_words(seen)}") for seen in reason.observations)
        yield line("")


def zones_summary(view: ComparisonView) -> str:
    """`1 of 23 zones changed · 1 target out`."""
    changed = sum(z.status != "unchanged" for z in view.zones)
    return f"{changed} of {len(view.zones)} zones changed"
