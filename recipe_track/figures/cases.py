"""What a zone is computed from, and what it is made of once every line is resolved."""

from collections.abc import Mapping
from dataclasses import dataclass

from recipe_track.figures.costs import BuiltIn, built_into
from recipe_track.figures.materials import NotComputable
from recipe_track.figures.plies import LayerPlies, ResolvedLayer, resolve_layers
from recipe_track.figures.stack import Stack, stack_of
from recipe_track.recipe.craft import Excitation, Part, Prices
from recipe_track.recipe.layup import Zone
from recipe_track.recipe.materials import Material


@dataclass(frozen=True, slots=True)
class ZoneCase:
    """What one zone is computed from; `name` is `part/zone`, `attached` the plate a stiffener stands on.

    `excitation` is what shakes the craft.
    """

    name: str
    zone: Zone
    part: Part
    materials: Mapping[str, Material]
    prices: Prices | None
    attached: "ZoneCase | None" = None
    excitation: Excitation | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Resolved:
    """A zone with its layers resolved, its quantities and, where it carries, its stack.

    `attached` are the layers of the plate that a stiffener stands on.
    """

    case: ZoneCase
    layers: tuple[ResolvedLayer, ...]
    quantities: tuple[BuiltIn, ...]
    stack: Stack | None
    attached: tuple[ResolvedLayer, ...] = ()


def resolve_zone(case: ZoneCase, known: dict[object, LayerPlies]) -> Resolved:
    """The layers and quantities of one zone; raises NotComputable with the zone's name."""
    layers = _layers(case, known)
    try:
        quantities = tuple(built_into(case.zone, layers, case.materials))
    except NotComputable as missing:
        raise NotComputable(f"{case.name}: {missing}") from missing
    stack = stack_of(layers) if case.zone.form == "plate" else None
    attached = _layers(case.attached, known) if case.attached else ()
    return Resolved(case, layers, quantities, stack, attached)


def _layers(case: ZoneCase, known: dict[object, LayerPlies]) -> tuple[ResolvedLayer, ...]:
    try:
        return tuple(resolve_layers(case.zone.layup, case.part, case.materials, known))
    except NotComputable as missing:
        raise NotComputable(f"{case.name}: {missing}") from missing
