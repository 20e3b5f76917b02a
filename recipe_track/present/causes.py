"""Why figures changed, in words: which kind of edit brought how much."""

from collections.abc import Iterator

from recipe_track.impact.outcome import ZoneImpact
from recipe_track.present.plain import visible
from recipe_track.present.units import measure, signed_quantity

CAUSE_WORDS = {
    "layup": "layup",
    "geometry": "geometry",
    "materials": "material data",
    "process": "process",
    "prices": "prices",
    "other_masses": "other masses",
}


def causes_words(zone: ZoneImpact, currency: str | None) -> Iterator[str]:
    """One line per figure: `mass +4.4 kg because of layup +4.4 kg`."""
    if zone.causes_note:
        yield f"causes: {visible(zone.causes_note)}"
    for key, causes in (zone.causes or {}).items():
        parts = [
            f"{CAUSE_WORDS[cause]} {signed_quantity(key, value, currency)}"
            for cause, value in causes.items()
            if value
        ]
        if parts:
            yield f"{measure(key).words} because of: {', '.join(parts)}"
