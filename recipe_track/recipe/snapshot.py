"""Everything written at one revision, parsed and joined."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from recipe_track.recipe.craft import Hull, Model, Part, Prices, Settings
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Material
from recipe_track.recipe.records import Record


@dataclass(frozen=True, slots=True)
class PartTree:
    """A part and its zones by bare id."""

    id: str
    part: Part
    zones: Mapping[str, Zone]


@dataclass(frozen=True, slots=True)
class ModelTree:
    """A model and its parts by id."""

    id: str
    model: Model
    parts: Mapping[str, PartTree]

    def zones(self) -> Iterator[tuple[str, PartTree, Zone]]:
        """Every zone as (`part/zone`, its part, the zone), by name."""
        for part in self.parts.values():
            for zone_id, zone in part.zones.items():
                yield f"{part.id}/{zone_id}", part, zone


@dataclass(frozen=True, slots=True)
class Snapshot:
    """What is written at one revision; `records` and `hulls` are empty where they were not asked for.

    `past_zones` are zone names that history knows beside those written now, per model.
    """

    settings: Settings
    materials: Mapping[str, Material] = field(default_factory=dict)
    prices: Prices | None = None
    models: Mapping[str, ModelTree] = field(default_factory=dict)
    hulls: Mapping[str, Hull] = field(default_factory=dict)
    records: Mapping[str, Record] = field(default_factory=dict)
    past_zones: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def zone_names(self, model: str) -> frozenset[str]:
        """Every name that a zone of the model has or had."""
        tree = self.models.get(model)
        now = [(name, *zone.formerly) for name, _, zone in tree.zones()] if tree else []
        return frozenset(n for names in now for n in names) | self.past_zones.get(model, frozenset())
