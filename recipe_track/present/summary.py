"""What a comparison comes to in a few words, before any table."""

from collections.abc import Iterator

from recipe_track.impact.outcome import Delta, ZoneImpact
from recipe_track.present.causes import is_something
from recipe_track.present.figures import requirement_words
from recipe_track.present.plain import visible
from recipe_track.present.units import measure, signed_quantity
from recipe_track.procedures.comparison import Comparison

MOST = 4
TELLING = ("mass_kg", "ei_y_kn_m2_per_m", "ei_x_kn_m2_per_m", "cost")


def changed_words(comparison: Comparison) -> str:
    """`5 of 23 zones changed: deck/side (+4.2 kg), …`, those with the greatest effect by name."""
    zones = comparison.impact.zones
    changed = by_effect([zone for zone in zones if zone.status != "unchanged"])
    named = [f"{visible(z.zone)}{_effect_words(z, comparison.currency)}" for z in changed[:MOST]]
    rest = f" and {len(changed) - MOST} more" if len(changed) > MOST else ""
    return f"{len(changed)} of {len(zones)} zones changed{': ' if named else ''}{', '.join(named)}{rest}"


def _effect_words(zone: ZoneImpact, currency: str | None) -> str:
    """` (+4.2 kg)`: the mass, or where that stays the first figure that does not."""
    if zone.status in ("added", "removed"):
        return " (new)" if zone.status == "added" else " (taken out)"
    for key in TELLING:
        delta = zone.figures.get(key)
        if delta is not None and delta.delta is not None and shows_change(key, delta):
            words = f"{measure(key).words} " if key.startswith("ei_") else ""
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
    return is_something(measure(key), delta.delta)
