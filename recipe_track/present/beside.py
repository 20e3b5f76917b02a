"""What of a zone changed beside its layers, in words: it may move no figure and still matters."""

from collections.abc import Iterator

from recipe_track.impact.outcome import ZoneImpact
from recipe_track.procedures.comparison import Comparison, Side
from recipe_track.recipe.layup import Zone

WORDS = {
    "name": "name",
    "source": "source",
    "note": "note",
    "form": "form",
    "area_m2": "area",
    "length_m": "length",
    "girth_mm": "girth",
    "former": "former",
    "attached": "what it is attached to",
    "effective_width_mm": "effective width",
    "attached_axis": "direction along the zone it is attached to",
    "paste": "paste",
    "kg_per_m": "mass per metre",
    "centroid_m": "centre",
    "overlap_fraction": "overlaps",
    "extent": "extent",
    "zero_direction": "zero direction",
    "seen_from": "side it is seen from",
    "drawing": "drawing",
    "panel": "panel",
    "required": "required minima or their source",
}


def beside_lines(zone: ZoneImpact, comparison: Comparison) -> Iterator[str]:
    """`also changed: drawing, panel`, for a zone that stands on both sides."""
    before = _written(comparison.before, comparison.model, zone.before_zone)
    after = _written(comparison.after, comparison.model, zone.zone)
    if before is not None and after is not None:
        said = [words for key, words in WORDS.items() if getattr(before, key) != getattr(after, key)]
        if said:
            yield f"also changed: {', '.join(said)}"


def _written(side: Side, model: str, name: str | None) -> Zone | None:
    tree = side.snapshot.models.get(model)
    zones = {found: zone for found, _, zone in tree.zones()} if tree else {}
    return zones.get(name or "")
