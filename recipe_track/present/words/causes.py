"""Why figures changed, and what of a zone changed beside its layers, in words."""

from collections.abc import Iterator, Mapping

from recipe_track.impact.effects import LayerEdit, ZoneImpact
from recipe_track.impact.rows import LayerView
from recipe_track.present.words.layers import details
from recipe_track.present.words.plain import visible
from recipe_track.present.words.units import above_noise, signed, signed_quantity, words_for
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.quantities import words_of
from recipe_track.review.change.comparison import Comparison, Side

# What else is asked of a zone than its layers; two keys read better here in other words.
ASIDE = ("formerly", "layup")
OTHER_WORDS = {
    "attached": "what it is attached to",
    "attached_axis": "direction along the zone it is attached to",
}


def also_changed_lines(zone: ZoneImpact, comparison: Comparison) -> Iterator[str]:
    """`also changed: drawing, panel`, for a zone that stands on both sides."""
    before = _written(comparison.before, comparison.model, zone.before_zone)
    after = _written(comparison.after, comparison.model, zone.zone)
    if before is not None and after is not None:
        changed = [
            key
            for key in Zone.model_fields
            if key not in ASIDE and getattr(before, key) != getattr(after, key)
        ]
        said = [OTHER_WORDS.get(key) or words_of(Zone, key) for key in changed]
        if said:
            yield f"also changed: {', '.join(said)}"


def _written(side: Side, model: str, name: str | None) -> Zone | None:
    return side.snapshot.zones_of(model).get(name or "")


CAUSE_WORDS = {
    "layup": "layup",
    "geometry": "geometry",
    "materials": "material data",
    "process": "process",
    "prices": "prices",
    "other_masses": "other masses",
}


# Of a stiffener, the geometry is its own and that of what it stands on.
STANDING_ON = dict.fromkeys(("ei_stiffener_kn_m2", "beam_deflection_mm"), "section or plating")


def causes_words(zone: ZoneImpact, currency: str | None) -> Iterator[str]:
    """One line per figure: `mass +4.4 kg: layup +4.4 (added uni-600 +3.5, pvc-80 15 mm → 20 mm +0.9)`."""
    if zone.causes_note:
        yield f"causes not told: {visible(zone.causes_note)}"
    for key, causes in (zone.causes or {}).items():
        delta = zone.figures[key].delta
        if delta and above_noise(key, delta):
            because = cause_list(key, causes, zone.edits)
            yield f"{words_for(key)} {signed_quantity(key, delta, currency)} because of {because}"
    if zone.edits_note and any(edit.effects for edit in zone.edits):
        yield f"single edits: {visible(zone.edits_note)}"


def cause_list(key: str, causes: Mapping[str, float], edits: tuple[LayerEdit, ...] = ()) -> str:
    """The causes of one figure's change that did something, the layup's taken apart edit by edit."""
    said = []
    for cause, value in causes.items():
        if not above_noise(key, value):
            continue
        inside = edit_list(key, edits) if cause == "layup" else ""
        words = STANDING_ON.get(key, CAUSE_WORDS[cause]) if cause == "geometry" else CAUSE_WORDS[cause]
        said.append(f"{words} {signed(key, value)}{f' ({inside})' if inside else ''}")
    return ", ".join(said) or "changes too small to show"


def edit_list(key: str, edits: tuple[LayerEdit, ...]) -> str:
    """`added uni-600 +3.5, pvc-80 15 mm → 20 mm +0.9`; nothing where no single edit is known."""
    return ", ".join(
        f"{edit_words(edit)} {signed(key, edit.effects[key])}"
        for edit in edits
        if key in edit.effects and above_noise(key, edit.effects[key])
    )


def edit_words(edit: LayerEdit) -> str:
    """One edit of a layup in a few words."""
    old, new = edit.before, edit.after
    if old is None and new is not None:
        return f"added {_named(new)}"
    if new is None and old is not None:
        return f"took out {_named(old)}"
    assert old is not None
    assert new is not None
    if edit.mark == "replaced":
        return f"{_named(old)} → {_named(new)}"
    if edit.mark == "moved":
        return f"moved {_named(new)}"
    before, after = (" ".join(details(view)) or "as it was" for view in (old, new))
    return f"{visible(new.material)} {before} → {after}" if before != after else f"altered {_named(new)}"


def _named(layer: LayerView) -> str:
    return visible(layer.material) + (f" ×{layer.plies}" if layer.plies > 1 else "")
