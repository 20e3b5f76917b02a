"""Why figures changed, in words: which kind of change brought how much, and which edit of the layup."""

from collections.abc import Iterator, Mapping

from recipe_track.impact.outcome import Edit, ZoneImpact
from recipe_track.impact.rows import LayerView
from recipe_track.present.layers import details
from recipe_track.present.plain import visible
from recipe_track.present.units import Measure, measure, signed, signed_quantity

CAUSE_WORDS = {
    "layup": "layup",
    "geometry": "geometry",
    "materials": "material data",
    "process": "process",
    "prices": "prices",
    "other_masses": "other masses",
}


def causes_words(zone: ZoneImpact, currency: str | None) -> Iterator[str]:
    """One line per figure: `mass +4.4 kg: layup +4.4 (added uni-600 +3.5, pvc-80 15 mm → 20 mm +0.9)`."""
    if zone.causes_note:
        yield f"causes not told: {visible(zone.causes_note)}"
    for key, causes in (zone.causes or {}).items():
        delta = zone.figures[key].delta
        if delta and is_something(measure(key), delta):
            because = cause_list(key, causes, zone.edits)
            yield f"{measure(key).words} {signed_quantity(key, delta, currency)} because of {because}"
    if zone.edits_note and any(edit.effects for edit in zone.edits):
        yield f"single edits: {visible(zone.edits_note)}"


def cause_list(key: str, causes: Mapping[str, float], edits: tuple[Edit, ...] = ()) -> str:
    """The causes of one figure's change that did something, the layup's taken apart edit by edit."""
    said = []
    for cause, value in causes.items():
        if not is_something(measure(key), value):
            continue
        inside = edit_list(key, edits) if cause == "layup" else ""
        said.append(f"{CAUSE_WORDS[cause]} {signed(key, value)}{f' ({inside})' if inside else ''}")
    return ", ".join(said) or "changes too small to show"


def edit_list(key: str, edits: tuple[Edit, ...]) -> str:
    """`added uni-600 +3.5, pvc-80 15 mm → 20 mm +0.9`; nothing where no single edit is known."""
    return ", ".join(
        f"{edit_words(edit)} {signed(key, edit.effects[key])}"
        for edit in edits
        if key in edit.effects and is_something(measure(key), edit.effects[key])
    )


def is_something(of: Measure, value: float) -> bool:
    """Whether a change is more than the noise of computing it."""
    return abs(value) >= 0.5 * 10.0 ** -(of.decimals + 2)


def edit_words(edit: Edit) -> str:
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
