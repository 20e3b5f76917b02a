"""Time of the mechanics against one batched numpy inversion: `python -m tests.bench.bench_mechanics`.

10,000 zones of 12 layers: half of them sandwiches, with skins at the usual angles. Prints how many inversions
of all their 6×6 stiffnesses the laminates cost, the panels with their fields, margins and frequencies (both
kinds of edges) under pressure alone, and with a foot on every panel besides, with the bounds they are held to.
One thread, as when the program runs.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is loaded: it starts its threads then

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from time import process_time

import numpy as np

from recipe_track.mechanics.field import Field
from recipe_track.mechanics.field_margins import (
    BOTH,
    core_crush_use,
    greatest_core_shear_use,
    greatest_strain_use,
    greatest_wrinkling_use,
)
from recipe_track.mechanics.frequency import natural_frequency
from recipe_track.mechanics.laminate import (
    Stiffness,
    engineering_constants,
    ply_bounds,
    reduced_bending,
    stiffness,
    strip_stiffness,
)
from recipe_track.mechanics.panel import panel_fields
from recipe_track.mechanics.ply import (
    cured_ply,
    reduced_stiffness,
    rotated_stiffness,
    unidirectional_constants,
)
from recipe_track.mechanics.shear import peak_shear_flow, transverse_shear_stiffness

ZONES, LAYERS, BLOCK, PIECE = 10_000, 12, 2000, 500
WITHOUT, WITH, WITH_FOOT = 40, 300, 600


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
    engineering_constants(laminate, thickness.sum(axis=1))
    s_x, s_y = (transverse_shear_stiffness(q_bar[..., i, i], g12, thickness) for i in (0, 1))
    return Found(angle, thickness, q_bar, core, laminate, (s_x, s_y))


@dataclass(frozen=True)
class Panels:
    """The panels of the zones: sides, edges, and whether a foot stands on each."""

    span: np.ndarray
    length: np.ndarray
    clamped: np.ndarray
    foot: bool


def panels_of(random: np.random.Generator, count: int, foot: bool) -> Panels:
    span = random.uniform(0.3, 0.7, count)
    return Panels(span, span * random.uniform(1.0, 3.0, count), random.random(count) < 0.5, foot)


def work(found: Found, panels: Panels, at: np.ndarray) -> None:
    """Some of the panels with all their margins and frequencies."""
    laminate = Stiffness(found.laminate.a[at], found.laminate.b[at], found.laminate.d[at])
    sides = panels.length[at], panels.span[at]
    panel = reduced_bending(laminate), found.shear[0][at], found.shear[1][at], *sides
    one, clamped = np.ones(len(at)), panels.clamped[at]
    force = one * 1e3 if panels.foot else one * np.nan
    fields = panel_fields(*panel, clamped, one * 1e4, force, one * 0.1)
    for edges in (clamped, ~clamped):
        natural_frequency(*panel, edges, one * 9)
    for field in (fields.pressure, fields.patch):
        if field is not None:
            margins(found, at, field)
    if panels.foot:
        core_crush_use(force, one * 0.1, one * 1e6)


def margins(found: Found, zones: np.ndarray, field: Field) -> None:
    for rows in np.array_split(np.arange(len(zones)), max(1, len(zones) // PIECE)):
        at = zones[rows]
        z = ply_bounds(found.thickness[at])
        laminate = Stiffness(found.laminate.a[at], found.laminate.b[at], found.laminate.d[at])
        curvature, core, angle = field.curvature_per_m[rows], found.core[at], found.angle[at]
        limits = np.where(core[..., None], np.nan, [0.004, 0.004, 0.003, 0.006])
        faces, side = np.stack([z[:, :-1], z[:, 1:]], axis=-1), np.full(len(at), BOTH)
        greatest_strain_use(laminate, curvature, side, faces, angle, np.zeros_like(core), limits)
        flow = [peak_shear_flow(found.q_bar[at][..., i, i], found.thickness[at]) for i in (0, 1)]
        strength = np.where(core[..., None], [1e6, 0.8e6], np.nan)
        greatest_core_shear_use(field.shear_n_per_m[rows], np.stack(flow, axis=-1), angle, strength)
        before = np.cumsum(core, axis=1) == 0
        in_face = np.stack([before & core.any(axis=1, keepdims=True), ~before & ~core], axis=1)
        known = np.where(core.any(axis=1), 9e7, np.nan)[:, None] * np.ones(2)
        middle, stack = faces.mean(axis=-1), (found.q_bar[at], found.thickness[at])
        greatest_wrinkling_use(laminate, curvature, side, *stack, middle, in_face, known, known / 3)


def fastest(job: Callable[[], object], times: int) -> float:
    """Shortest processor time of some runs: the machine may be busy with other work. [s]"""
    taken = []
    for _ in range(times):
        start = process_time()
        job()
        taken.append(process_time() - start)
    return min(taken)


def whole(laminate: Stiffness, height: np.ndarray) -> np.ndarray:
    """The 6×6 stiffness of each stack, made of like size throughout. (n, 6, 6)"""
    size = height[:, None, None]
    rows = [laminate.a, laminate.b / size], [laminate.b / size, laminate.d / size**2]
    return np.concatenate([np.concatenate(row, axis=2) for row in rows], axis=1)


def main() -> None:
    """Print the ratios."""
    found = laminates(np.random.default_rng(1), ZONES)
    matrices = whole(found.laminate, found.thickness.sum(axis=1))
    inversion = fastest(lambda: np.linalg.inv(matrices), 7)
    alone = fastest(lambda: laminates(np.random.default_rng(1), ZONES), 3)
    print(f"inversion of {ZONES} 6x6 matrices: {inversion * 1e3:.1f} ms")
    print(f"without panels: {alone:.2f} s, {alone / inversion:.0f} x (bound {WITHOUT})")
    blocks = np.array_split(np.arange(ZONES), ZONES // BLOCK)
    for foot, bound in ((False, WITH), (True, WITH_FOOT)):
        panels = panels_of(np.random.default_rng(2), ZONES, foot)
        work(found, panels, blocks[0])  # fills the tables
        taken = alone + sum(fastest(partial(work, found, panels, at), 3) for at in blocks)
        name = "with panels and a foot on each" if foot else "with panels"
        print(f"{name}: {taken:.2f} s, {taken / inversion:.0f} x (bound {bound})")


if __name__ == "__main__":
    main()
