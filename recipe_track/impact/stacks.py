"""A layup as single plies, each with the values by which two plies count as the same."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from recipe_track.recipe.layup import Layer

Kinds = Mapping[str, str]
Values = tuple[str, str, float, float, bool, float, float, str, str, float, int]


@dataclass(frozen=True, slots=True)
class Ply:
    """One ply of a line; `values` holds everything written of it but words (note, tag, extent)."""

    line: int
    layer: Layer
    kind: str
    values: Values


def plies_of(layup: Sequence[Layer], kinds: Kinds) -> tuple[Ply, ...]:
    """Every ply of a layup, mould side first; `kinds` tells the kind of each material."""
    return tuple(
        ply
        for line, layer in enumerate(layup, start=1)
        for ply in [_ply(line, layer, kinds.get(layer.material, ""))] * layer.plies
    )


def _ply(line: int, layer: Layer, kind: str) -> Ply:
    values = (
        layer.material,
        kind,
        layer.angle_deg,
        layer.thickness_mm or 0.0,
        layer.flipped,
        layer.coverage_fraction,
        layer.fibre_mass_fraction or 0.0,
        layer.process or "",
        layer.resin or "",
        -1.0 if layer.uptake_g_m2 is None else layer.uptake_g_m2,
        layer.stage,
    )
    return Ply(line, layer, kind, values)


def values_of(plies: Sequence[Ply]) -> tuple[Values, ...]:
    """The values of a stack, comparable and sortable."""
    return tuple(ply.values for ply in plies)


def is_upside_down(before: Sequence[Ply], after: Sequence[Ply]) -> bool:
    """Whether after is before listed from the other face, as it lies or with every ply turned over.

    A stack that reads the same from both faces has not been reversed.
    """
    old, new = values_of(before), values_of(after)
    if len(old) != len(new) or old == new:
        return False
    if old[::-1] == new:
        return True
    return [_turned(ply) for ply in reversed(before)] == [_half_turn(ply.values) for ply in after]


def _turned(ply: Ply) -> Values:
    """A ply seen from its other face: its angle negated and, for a fabric, its faces exchanged."""
    material, kind, angle, thickness, flipped, *rest = ply.values
    other_face = not flipped if kind == "reinforcement" else flipped
    return _half_turn((material, kind, -angle, thickness, other_face, *rest))  # type: ignore[arg-type]


def _half_turn(values: Values) -> Values:
    """An angle and the same angle half a turn on are one direction."""
    return (*values[:2], values[2] % 180.0, *values[3:])
