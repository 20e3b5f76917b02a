"""Everything written at one revision, parsed and joined."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from recipe_track.recipe.craft import Hull, Model, Part, Prices, Settings
from recipe_track.recipe.hulls import HullPart, HullState
from recipe_track.recipe.identity import names_of
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.ledger import Records
from recipe_track.recipe.materials import Material


@dataclass(frozen=True, slots=True)
class PartTree:
    """A part and its zones by bare id."""

    id: str
    part: Part
    zones: Mapping[str, Zone]


@dataclass(frozen=True)
class ModelTree:
    """A model and its parts by id."""

    id: str
    model: Model
    parts: Mapping[str, PartTree]

    @cached_property
    def zones(self) -> Mapping[str, Zone]:
        """Every zone by its name, `part/zone`, in the order of the parts."""
        return {f"{part.id}/{i}": zone for part in self.parts.values() for i, zone in part.zones.items()}

    def with_zones(self, edited: Mapping[str, Zone]) -> "ModelTree":
        """The model with other zones in the place of some that it has, everything else as it is."""
        parts = dict(self.parts)
        for name, zone in edited.items():
            part, bare = name.split("/", 1)
            parts[part] = replace(parts[part], zones={**parts[part].zones, bare: zone})
        grown = ModelTree(self.id, self.model, parts)
        grown.__dict__["zones"] = {**self.zones, **edited}  # in the old order, without making each name anew
        return grown

    def only(self, names: Iterable[str]) -> "ModelTree":
        """The model with some of its zones alone."""
        wanted: dict[str, dict[str, Zone]] = {}
        for name in names:
            part, bare = name.split("/", 1)
            wanted.setdefault(part, {})[bare] = self.zones[name]
        parts = {part: replace(self.parts[part], zones=zones) for part, zones in wanted.items()}
        return ModelTree(self.id, self.model, parts)


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
    records: Records = field(default_factory=Records)
    past_zones: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def numbers(self, model: str | None = None) -> tuple[str, ...]:
        """The hulls, or those of one model, each once by the number it has now."""
        known = (n for n, hull in self.hulls.items() if model in (None, hull.model))
        return tuple(sorted({self.records.number_of(number) for number in known}))

    def hull_state(self, hull: str) -> HullState:
        """Where a hull stands: the whole of it, and every part."""
        return self.records.hull_state(hull)

    def hull_parts(self, hull: str) -> tuple[HullPart, ...]:
        """The parts of a hull in their present copies."""
        return self.records.hull_state(hull).parts

    def zones_of(self, model: str) -> Mapping[str, Zone]:
        """The zones of a model by name; none where there is no such model."""
        tree = self.models.get(model)
        return tree.zones if tree else {}

    def zone_names(self, model: str) -> frozenset[str]:
        """Every name that a zone of the model has or had."""
        now = {name for zone, written in self.zones_of(model).items() for name in names_of(zone, written)}
        return self.past_zones.get(model, frozenset()) | now
