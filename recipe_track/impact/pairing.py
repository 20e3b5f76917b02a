"""A model on one side of a comparison: what it is made of and its figures, everything by name."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from recipe_track.figures.craft import conditions_of, masses_at
from recipe_track.figures.results import CraftFigures, ModelFigures, PartFigures, ZoneFigures
from recipe_track.impact.combinations import Library, ZoneSide
from recipe_track.recipe.craft import Model, Part
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.paths import part_of
from recipe_track.recipe.snapshot import ModelTree


@dataclass(frozen=True, slots=True)
class ModelSide:
    """A model on one side, everything by name; all empty or None where it does not exist there."""

    model: Model | None
    parts: Mapping[str, Part]
    zones: Mapping[str, Zone]
    library: Library
    figures: ModelFigures | None
    zone_figures: Mapping[str, ZoneFigures]
    part_figures: Mapping[str, PartFigures]

    @property
    def craft(self) -> CraftFigures | None:
        """Figures of the craft."""
        return self.figures.craft if self.figures else None

    @property
    def other_masses_kg(self) -> float:
        """Everything aboard that is not laminate, in the craft's condition."""
        if self.model is None or self.craft is None:
            return 0.0
        fill = dict(conditions_of(self.model))[self.craft.condition]
        return sum(mass for mass, _ in masses_at(self.model.mass, fill))

    def zone_side(self, name: str) -> ZoneSide:
        """One zone with what it is computed from, a stiffener's plate beneath it."""
        beneath = self.zones[name].attached
        known = beneath is not None and beneath in self.zones
        attached = self._side_of(beneath or "") if known else None
        return replace(self._side_of(name), attached=attached)

    def _side_of(self, name: str) -> ZoneSide:
        return ZoneSide(name, self.zones[name], self.parts[part_of(name)], self.library)


def model_side(tree: ModelTree | None, figures: ModelFigures | None, library: Library) -> ModelSide:
    """A model with its figures, None where it does not exist."""
    return ModelSide(
        model=tree.model if tree else None,
        parts={name: part.part for name, part in tree.parts.items()} if tree else {},
        zones=tree.zones if tree else {},
        library=library,
        figures=figures,
        zone_figures={zone.zone: zone for zone in figures.zones} if figures else {},
        part_figures={part.part: part for part in figures.parts} if figures else {},
    )
