"""Values that are allowed but not ordinary: notes of `check`, never faults."""

from collections.abc import Callable, Iterable

from recipe_track.errors import Fault
from recipe_track.recipe.rules.doubts import crafts, fractions, layers, materials, prices, ranges, zones
from recipe_track.recipe.snapshot import Snapshot

NOTES: tuple[Callable[[Snapshot], Iterable[Fault]], ...] = (
    *ranges.NOTES,
    *materials.NOTES,
    *fractions.NOTES,
    *layers.NOTES,
    *zones.NOTES,
    *crafts.NOTES,
    *prices.NOTES,
)
