"""Stacks of many zones as padded arrays, and the stiffness they give in one pass."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recipe_track.figures.plies import ResolvedLayer
from recipe_track.mechanics import laminate, shear
from recipe_track.mechanics.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """The full layers of one zone, mould side first: q_bar_pa (ply, 3, 3), g_pa (ply, 2), thickness_m (ply,).

    `layer_of` tells for each ply which of the resolved layers it belongs to.
    """

    q_bar_pa: FloatArray
    g_pa: FloatArray
    thickness_m: FloatArray
    layer_of: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Laminates:
    """Many stacks, padded with plies of no thickness, and their stiffness; n zones.

    stiffness a [N/m], b [N], d [N·m] (n, 3, 3); strip (n, 4) = ea_x, ea_y [N/m], ei_x, ei_y [N·m];
    shear_n_per_m (n, 2).
    """

    q_bar_pa: FloatArray
    thickness_m: FloatArray
    stiffness: laminate.Stiffness
    strip: FloatArray
    shear_n_per_m: FloatArray

    def take(self, chosen: IntArray) -> "Laminates":
        """Some of the laminates."""
        abd = laminate.Stiffness(self.stiffness.a[chosen], self.stiffness.b[chosen], self.stiffness.d[chosen])
        q_bar, thickness = self.q_bar_pa[chosen], self.thickness_m[chosen]
        return Laminates(q_bar, thickness, abd, self.strip[chosen], self.shear_n_per_m[chosen])


def stack_of(layers: Sequence[ResolvedLayer]) -> Stack | None:
    """The stack of the full layers; None where nothing in it carries."""
    repeats = [(i, r.plies) for i, r in enumerate(layers) if r.full for _ in range(r.layer.plies)]
    if not any(p.carries for _, p in repeats):
        return None
    return Stack(
        np.concatenate([p.q_bar_pa for _, p in repeats]),
        np.concatenate([p.g_pa for _, p in repeats]),
        np.concatenate([p.thickness_m for _, p in repeats]),
        tuple([i for i, p in repeats for _ in range(len(p.thickness_m))]),
    )


def laminates_of(stacks: Sequence[Stack]) -> Laminates:
    """Stiffness of many stacks at once."""
    q_bar, g, thickness = _padded(stacks)
    stiffness = laminate.stiffness(q_bar, thickness)
    s = np.stack(
        [
            shear.transverse_shear_stiffness(q_bar[..., axis, axis], g[..., axis], thickness)
            for axis in (0, 1)
        ],
        axis=-1,
    )
    strip = np.stack(laminate.strip_stiffness(stiffness), axis=-1)
    return Laminates(q_bar, thickness, stiffness, strip, s)


def _padded(stacks: Sequence[Stack]) -> tuple[FloatArray, FloatArray, FloatArray]:
    most = max(len(s.thickness_m) for s in stacks)
    q_bar = np.zeros((len(stacks), most, 3, 3))
    g = np.zeros((len(stacks), most, 2))
    thickness = np.zeros((len(stacks), most))
    for n, s in enumerate(stacks):
        k = len(s.thickness_m)
        q_bar[n, :k], g[n, :k], thickness[n, :k] = s.q_bar_pa, s.g_pa, s.thickness_m
    return q_bar, g, thickness
