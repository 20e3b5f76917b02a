"""Time of the mechanics against one batched numpy inversion: `python -m tests.bench.bench_mechanics`.

10,000 zones of 12 layers: half of them sandwiches, with skins at the usual angles. Prints two ratios, without
and with panels (pressure alone, and with a foot on every panel besides), with the bounds they are held to.
One thread, as when the program runs.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is loaded: it starts its threads then

from collections.abc import Callable
from dataclasses import dataclass
from time import process_time

import numpy as np

from recipe_track.mechanics.laminate import Stiffness, ply_bounds, reduced_bending, stiffness, strip_stiffness
from recipe_track.mechanics.margins import core_shear_use, strain_use, wrinkling_use
from recipe_track.mechanics.panel import PanelResponse, panel_response
from recipe_track.mechanics.ply import (
    cured_ply,
    reduced_stiffness,
    rotated_stiffness,
    unidirectional_constants,
)
from recipe_track.mechanics.shear import peak_shear_flow, transverse_shear_stiffness

ZONES, LAYERS, PIECE = 10_000, 12, 1000
WITHOUT, WITH = 40, 250


@dataclass(frozen=True)
class Found:
    """What the laminates of some zones come to."""

    angle: np.ndarray
    thickness: np.ndarray
    q_bar: np.ndarray
    core: np.ndarray
    laminate: Stiffness
    shear: tuple[np.ndarray, np.ndarray]


def laminates(random: np.random.Generator, count: int) -> Found:
    """From fibre and resin to A, B, D, EA, EI and shear stiffness."""
    shape = (count, LAYERS)
    mass = random.uniform(0.2, 0.8, shape)
    thickness, fraction = cured_ply(mass, np.full(shape, 0.6), np.full(shape, 2560.0), np.full(shape, 1120.0))
    constants = (73e9, 73e9, 30e9, 0.18, 3.4e9, 0.35)
    e1, e2, g12, nu12 = unidirectional_constants(fraction, *(np.full(shape, value) for value in constants))
    core = np.zeros(shape, dtype=bool)
    core[: count // 2, LAYERS // 2] = True
    thickness = np.where(core, random.uniform(0.01, 0.03, shape), thickness)
    e1, e2, g12 = np.where(core, 6e7, e1), np.where(core, 6e7, e2), np.where(core, 3e7, g12)
    angle = np.radians(random.choice([0.0, 45.0, -45.0, 90.0], shape))
    q_bar = rotated_stiffness(reduced_stiffness(e1, e2, g12, nu12), angle)
    laminate = stiffness(q_bar, thickness)
    strip_stiffness(laminate)
    s_x, s_y = (transverse_shear_stiffness(q_bar[..., i, i], g12, thickness) for i in (0, 1))
    return Found(angle, thickness, q_bar, core, laminate, (s_x, s_y))


def panels(random: np.random.Generator, found: Found, foot: bool) -> None:
    """Panels with all their margins, a piece of the zones at a time."""
    count = len(found.thickness)
    span = random.uniform(0.3, 0.7, count)
    length, clamped = span * random.uniform(1.0, 3.0, count), random.random(count) < 0.5
    force = np.full(count, 1e3 if foot else np.nan)
    d_star = reduced_bending(found.laminate)
    load = (np.full(count, 1e4), force, np.full(count, 0.1))
    margins(found, panel_response(d_star, *found.shear, length, span, clamped, *load))


def margins(found: Found, response: PanelResponse) -> None:
    for piece in np.array_split(np.arange(len(found.thickness)), max(1, len(found.thickness) // PIECE)):
        z = ply_bounds(found.thickness[piece])
        laminate = Stiffness(found.laminate.a[piece], found.laminate.b[piece], found.laminate.d[piece])
        curvature, core = response.curvature_per_m[piece], found.core[piece]
        limits = np.where(core[..., None], np.nan, [0.004, 0.004, 0.003, 0.006])
        faces = np.stack([z[:, :-1], z[:, 1:]], axis=-1)
        strain_use(laminate, curvature, faces, found.angle[piece], np.zeros_like(core), limits)
        flow = [peak_shear_flow(found.q_bar[piece][..., i, i], found.thickness[piece]) for i in (0, 1)]
        strength = np.where(core, 1e6, np.nan)
        core_shear_use(response.edge_shear_n_per_m[piece], np.stack(flow, axis=-1), strength)
        before = np.cumsum(core, axis=1) == 0
        in_face = np.stack([before & core.any(axis=1, keepdims=True), ~before & ~core], axis=1)
        known = np.where(core.any(axis=1), 9e7, np.nan)[:, None] * np.ones(2)
        middle, stack = faces.mean(axis=-1), (found.q_bar[piece], found.thickness[piece])
        wrinkling_use(laminate, curvature, *stack, middle, in_face, known, known / 3)


def fastest(work: Callable[[], object], times: int) -> float:
    """Shortest processor time of some runs: the machine may be busy with other work. [s]"""
    taken = []
    for _ in range(times):
        start = process_time()
        work()
        taken.append(process_time() - start)
    return min(taken)


def main() -> None:
    """Print the ratios."""
    matrices = np.random.default_rng(1).random((ZONES, 6, 6)) + 6 * np.eye(6)
    panels(np.random.default_rng(2), laminates(np.random.default_rng(1), 200), foot=True)  # fills the tables
    inversion = fastest(lambda: np.linalg.inv(matrices), 7)
    found = laminates(np.random.default_rng(1), ZONES)
    alone = fastest(lambda: laminates(np.random.default_rng(1), ZONES), 3)
    print(f"inversion of {ZONES} 6x6 matrices: {inversion * 1e3:.1f} ms")
    print(f"without panels: {alone:.2f} s, {alone / inversion:.0f} x (bound {WITHOUT})")
    for foot in (False, True):
        panelled = alone + fastest(lambda foot=foot: panels(np.random.default_rng(2), found, foot), 2)
        name = "with panels and a foot on each" if foot else "with panels"
        print(f"{name}: {panelled:.2f} s, {panelled / inversion:.0f} x (bound {WITH} for pressure alone)")


if __name__ == "__main__":
    main()
