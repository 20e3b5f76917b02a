"""How far the plies of panels are strained, against the design strains of their fabrics."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.limits import Use
from recipe_track.figures.plies import line_words
from recipe_track.figures.stack import Laminates
from recipe_track.mechanics.arrays import FloatArray, IntArray
from recipe_track.mechanics.laminate import ply_bounds
from recipe_track.mechanics.margins import MODES, strain_use
from recipe_track.mechanics.panel import PLACES
from recipe_track.recipe.materials import Reinforcement

FACES = ("mould side", "bag side")


@dataclass(frozen=True, slots=True, eq=False)
class Checks:
    """The directions with design strains of n zones, padded to c each: layer and ply (n, c), angle_rad and
    random (n, c), limits (n, c, 4) in the order of MODES, nan where there is none."""

    layer: IntArray
    ply: IntArray
    angle_rad: FloatArray
    random: FloatArray
    limits: FloatArray


def strain_uses(
    resolved: Sequence[Resolved], laminates: Laminates, curvature_per_m: FloatArray
) -> list[Use | None]:
    """The greatest ratio of strain to design strain in each zone; None where no layer has any.

    curvature_per_m (n, 5, 3) at PLACES.
    """
    checks = checks_of(resolved)
    if not checks.ply.shape[1]:
        return [None] * len(resolved)
    bounds = ply_bounds(laminates.thickness_m)
    faces = np.stack([np.take_along_axis(bounds, checks.ply + face, axis=1) for face in (0, 1)], axis=-1)
    found = strain_use(
        laminates.stiffness, curvature_per_m, faces, checks.angle_rad, checks.random > 0, checks.limits
    )
    rows = zip(found.use.tolist(), found.ply, found.place, found.face, found.mode, strict=True)
    uses: list[Use | None] = []
    for n, (use, row, place, face, mode) in enumerate(rows):
        if row < 0:
            uses.append(None)
            continue
        layer = resolved[n].layers[int(checks.layer[n, row])]
        words = f"{line_words(layer)}, {FACES[face]}, {PLACES[place]}: {MODES[mode]}"
        limit = float(checks.limits[n, row, mode])
        uses.append(Use(use * limit, limit, words))
    return uses


def checks_of(resolved: Sequence[Resolved]) -> Checks:
    """The ply directions of many zones that have design strains."""
    plies = [(n, *ply) for n, zone in enumerate(resolved) for ply in _checked_plies(zone)]
    if not plies:
        return _table(np.zeros((len(resolved), 0, 8)))
    zones, layers, firsts, blocks = zip(*plies, strict=True)
    counts = [len(block) for block in blocks]
    rows = np.concatenate(blocks)
    zone = np.repeat(zones, counts)
    starts = np.searchsorted(zone, np.arange(len(resolved)))
    within = np.arange(len(zone)) - starts[zone]
    table = np.full((len(resolved), int(within.max()) + 1, 8), np.nan)
    table[..., :4] = 0.0
    table[zone, within, 0] = np.repeat(layers, counts)
    table[zone, within, 1] = rows[:, 0] + np.repeat(firsts, counts)
    table[zone, within, 2:] = rows[:, 1:]
    return _table(table)


def _table(table: FloatArray) -> Checks:
    layer, ply = (table[..., column].astype(np.intp) for column in (0, 1))
    return Checks(layer, ply, table[..., 2], table[..., 3], table[..., 4:])


def _checked_plies(resolved: Resolved) -> Iterator[tuple[int, int, FloatArray]]:
    """For every ply with checks: the index of its layer, the place of its first direction, the checks."""
    first = 0
    for index, layer in enumerate(resolved.layers):
        if not layer.full:
            continue
        checks, step = layer.plies.checks, len(layer.plies.thickness_m)
        for n in range(layer.layer.plies if len(checks) else 0):
            yield index, first + n * step, checks
        first += step * layer.layer.plies


def without_strains(resolved: Resolved) -> Iterator[str]:
    """The fabrics of the full layers that have no design strains to be held against."""
    for layer in resolved.layers:
        if layer.full and isinstance(layer.material, Reinforcement) and not len(layer.plies.checks):
            yield f"strain of {line_words(layer)}"
