"""Which zone was which: by name, else by the first former name that only stood before."""

from collections.abc import Mapping

from recipe_track.recipe.layup import Zone
from recipe_track.recipe.snapshot import ModelTree


def zones_by_name(tree: ModelTree | None) -> dict[str, Zone]:
    """The zones of a model by name; none where there is no model."""
    return {name: zone for name, _, zone in tree.zones()} if tree else {}


def former_names(before: ModelTree | None, after: ModelTree | None) -> Mapping[str, str]:
    """Zone after → the zone it was before."""
    old, new = zones_by_name(before), zones_by_name(after)
    pairs = {name: name for name in new if name in old}
    claimed = set(pairs.values())
    for name, zone in new.items():
        former = next((one for one in zone.formerly if one in old and one not in claimed), None)
        if name not in pairs and former:
            pairs[name] = former
            claimed.add(former)
    return pairs
