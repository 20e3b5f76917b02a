"""Which zone of the one revision is which of the other, and what each side is made of."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from recipe_track.figures.craft import CraftFigures, ModelFigures, PartFigures, conditions_of, masses_at
from recipe_track.figures.zone import ZoneFigures
from recipe_track.impact.combinations import Library, ZoneSide
from recipe_track.recipe.craft import Model, Part
from recipe_track.recipe.layup import Zone
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
        """One zone with what it is computed from."""
        return ZoneSide(name, self.zones[name], self.parts[name.partition("/")[0]], self.library)


def model_side(tree: ModelTree | None, figures: ModelFigures | None, library: Library) -> ModelSide:
    """A model with its figures, None where it does not exist."""
    return ModelSide(
        model=tree.model if tree else None,
        parts={name: part.part for name, part in tree.parts.items()} if tree else {},
        zones={name: zone for name, _, zone in tree.zones()} if tree else {},
        library=library,
        figures=figures,
        zone_figures={zone.zone: zone for zone in figures.zones} if figures else {},
        part_figures={part.part: part for part in figures.parts} if figures else {},
    )


Zones = Mapping[str, Zone]


@dataclass(frozen=True, slots=True)
class ZonePair:
    """The names of one zone before and after; None where it does not exist."""

    before: str | None
    after: str | None

    @property
    def name(self) -> str:
        """The name people know it by now, or last knew it by."""
        return self.after or self.before or ""


def pair_zones(before: Zones, after: Zones, renames: Mapping[str, str]) -> tuple[ZonePair, ...]:
    """Pairs by name, else by `formerly`, else by `renames` (after's name: before's name); by name.

    An earlier name counts whichever side writes it, so that looking backwards pairs the same zones.
    """
    partner = {name: name for name in after if name in before}
    claims = (
        *((name, old) for name in sorted(after) for old in after[name].formerly),
        *((new, name) for name in sorted(before) for new in before[name].formerly),
        *sorted(renames.items()),
    )
    _claim(partner, claims, before, after)
    gone = set(before) - set(partner.values())
    pairs = [ZonePair(partner.get(name), name) for name in after] + [ZonePair(name, None) for name in gone]
    return tuple(sorted(pairs, key=lambda pair: (pair.name, pair.after is None)))


def _claim(partner: dict[str, str], claims: Iterable[tuple[str, str]], before: Zones, after: Zones) -> None:
    """Takes each claim whose zones exist on one side only and have no partner yet."""
    claimed = set(partner.values())
    for new, old in claims:
        only_after = new in after and new not in before and new not in partner
        only_before = old in before and old not in after and old not in claimed
        if only_after and only_before:
            partner[new] = old
            claimed.add(old)
