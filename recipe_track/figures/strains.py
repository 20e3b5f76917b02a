"""How far the plies of panels are strained, against the design strains of their fabrics."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.limits import Use
from recipe_track.figures.loads import Loaded
from recipe_track.figures.plies import line_words
from recipe_track.figures.stack import Laminates
from recipe_track.mechanics.arrays import FloatArray, IntArray
from recipe_track.mechanics.field_margins import StrainUse, greatest_strain_use
from recipe_track.mechanics.laminate import ply_bounds
from recipe_track.mechanics.margins import MODES
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


def strain_uses(resolved: Sequence[Resolved], laminates: Laminates, loaded: Loaded) -> list[Use | None]:
    """The greatest ratio of strain to design strain in each zone; None where no layer has any."""
    checks = checks_of(resolved)
    if not checks.ply.shape[1]:
        return [None] * len(resolved)
    bounds = ply_bounds(laminates.thickness_m)
    faces = np.stack([np.take_along_axis(bounds, checks.ply + face, axis=1) for face in (0, 1)], axis=-1)
    found = greatest_strain_use(
        laminates.stiffness, loaded.field.curvature_per_m, loaded.side, faces,
        checks.angle_rad, checks.random > 0, checks.limits,
    )  # fmt: skip
    return [_use(resolved[n], n, checks, loaded, found) for n in range(len(resolved))]


def _use(resolved: Resolved, n: int, checks: Checks, loaded: Loaded, found: StrainUse) -> Use | None:
    row, mode = int(found.ply[n]), int(found.mode[n])
    if row < 0:
        return None
    layer = resolved.layers[int(checks.layer[n, row])]
    where = loaded.words(n, int(found.place[n]), int(found.side[n]))
    fibre = "" if checks.random[n, row] else f", fibre at {_degrees(checks.angle_rad[n, row])}°"
    words = f"{where}, {line_words(layer)}, {FACES[found.face[n]]}{fibre}: {MODES[mode]}"
    limit = float(checks.limits[n, row, mode])
    return Use(float(found.use[n]) * limit, limit, words)


def _degrees(angle_rad: float) -> str:
    """An angle of a fibre, which has no head: above −90°, up to 90°."""
    return f"{90 - (90 - round(float(np.degrees(angle_rad)), 6)) % 180:g}"


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
