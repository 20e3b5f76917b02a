"""How much of a sandwich panel's limits are used: shear of its cores, wrinkling of its faces."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.limits import Use
from recipe_track.figures.plies import ResolvedLayer, line_words
from recipe_track.figures.si import MPA
from recipe_track.figures.stack import Laminates
from recipe_track.mechanics.arrays import BoolArray, FloatArray
from recipe_track.mechanics.laminate import inverse, ply_bounds
from recipe_track.mechanics.margins import WrinklingUse, core_shear_use, wrinkling_stress, wrinkling_use
from recipe_track.mechanics.panel import PLACES
from recipe_track.mechanics.shear import peak_shear_flow
from recipe_track.recipe.materials import Core

AXES = ("x", "y")


@dataclass(frozen=True, slots=True)
class Run:
    """Plies `start` to `end` of a stack: one line of core, or a face of the lines between two cores.

    `core` is None for a face.
    """

    start: int
    end: int
    lines: tuple[ResolvedLayer, ...]
    core: Core | None


def runs_of(resolved: Resolved) -> list[Run]:
    """The stack of a zone as cores and faces, mould side first."""
    runs: list[Run] = []
    face: list[ResolvedLayer] = []
    start = at = 0
    for layer in resolved.layers:
        if not layer.full:
            continue
        end = at + len(layer.plies.thickness_m) * layer.layer.plies
        if isinstance(layer.material, Core):
            runs += [Run(start, at, tuple(face), None)] if face else []
            runs.append(Run(at, end, (layer,), layer.material))
            face, start = [], end
        else:
            face.append(layer)
        at = end
    return [*runs, Run(start, at, tuple(face), None)] if face else runs


def core_shear_uses(
    runs: Sequence[Sequence[Run]], laminates: Laminates, edge_shear_n_per_m: FloatArray
) -> list[Use | None]:
    """Greatest core shear stress over strength; None for a zone without a core of known strength.

    edge_shear_n_per_m (n, 2): Qx in the middle of the x edges and Qy in that of the y edges.
    """
    cores = [
        (n, run, strength) for n, zone in enumerate(runs) for run in zone if (strength := _strength(run))
    ]
    uses: list[Use | None] = [None] * len(runs)
    if not cores:
        return uses
    strengths = np.full(laminates.thickness_m.shape, np.nan)
    for n, run, strength in cores:
        strengths[n, run.start : run.end] = strength
    flow = np.stack(
        [peak_shear_flow(laminates.q_bar_pa[..., k, k], laminates.thickness_m) for k in (0, 1)], axis=-1
    )
    found = core_shear_use(edge_shear_n_per_m, flow, strengths)
    for n, run, strength in cores:
        if run.start <= found.ply[n] < run.end:
            words = f"{line_words(run.lines[0])}, middle of the {AXES[found.direction[n]]} edges"
            uses[n] = Use(float(found.use[n]) * strength, strength, words)
    return uses


def _strength(run: Run) -> float | None:
    """Shear strength of a core [Pa]."""
    strength = run.core.shear_strength_mpa if run.core else None
    return strength * MPA if strength else None


@dataclass(frozen=True, slots=True)
class Contact:
    """A face that lies on a core."""

    face: Run
    core: Run


def contacts_of(runs: Sequence[Run]) -> list[Contact]:
    """Every face of a sandwich with each core that it lies on; a face that carries nothing is none."""
    pairs = [(a, b) if a.core is None else (b, a) for a, b in pairwise(runs)]
    return [Contact(face, core) for face, core in pairs if face.core is None and _carries(face) and core.core]


def _carries(face: Run) -> bool:
    return any(line.plies.carries for line in face.lines)


def wrinkling_uses(
    runs: Sequence[Sequence[Run]], laminates: Laminates, curvature_per_m: FloatArray
) -> list[Use | None]:
    """Greatest compressive face stress over the stress at which the face wrinkles.

    None for a zone without a core whose modulus through the thickness is known. curvature_per_m (n, 5, 3) at
    PLACES.
    """
    contacts = [[c for c in contacts_of(zone) if _through(c.core)] for zone in runs]
    most = max(map(len, contacts))
    if not most:
        return [None] * len(runs)
    q, t = laminates.q_bar_pa, laminates.thickness_m
    in_face = np.zeros((len(runs), most, t.shape[1]), dtype=bool)
    through, shear = np.full((2, len(runs), most), np.nan)
    for n, zone in enumerate(contacts):
        for f, contact in enumerate(zone):
            in_face[n, f, contact.face.start : contact.face.end] = True
            through[n, f], shear[n, f] = _through(contact.core), _least_shear(contact.core)
    in_face &= q[:, None, :, 0, 0] > 0
    found = wrinkling_use(laminates.stiffness, curvature_per_m, q, t, _middles(t), in_face, through, shear)
    limits = _limits(found, in_face, laminates, through, shear)
    return [
        _wrinkling(contacts[n][found.face[n]], found, n, limits[n]) if found.face[n] >= 0 else None
        for n in range(len(runs))
    ]


def _wrinkling(contact: Contact, found: WrinklingUse, n: int, limit: float) -> Use:
    words = f"{_face_words(contact)}, {PLACES[found.place[n]]}, along {AXES[found.direction[n]]}"
    return Use(float(found.use[n]) * limit, limit, words)


def _limits(
    found: WrinklingUse,
    in_face: BoolArray,
    laminates: Laminates,
    through_pa: FloatArray,
    shear_pa: FloatArray,
) -> list[float]:
    """The wrinkling stress of the face that governs each zone, in the direction that governs [Pa]."""
    n, face, axis = np.arange(len(found.face)), found.face, found.direction
    thickness = laminates.thickness_m * in_face[n, face]
    compliance = inverse(np.einsum("np,npij->nij", thickness, laminates.q_bar_pa))[n, axis, axis]
    total = compliance * thickness.sum(axis=-1)
    modulus = np.divide(1.0, total, out=np.full(len(n), np.nan), where=total > 0)
    limits: list[float] = wrinkling_stress(modulus, through_pa[n, face], shear_pa[n, face]).tolist()
    return limits


def _through(core: Run) -> float:
    """Modulus of a core through the thickness [Pa], 0 where it is not stated."""
    return (core.core.e_through_mpa or 0.0) * MPA if core.core else 0.0


def _least_shear(core: Run) -> float:
    return float(core.lines[0].plies.g_pa.min())


def _face_words(contact: Contact) -> str:
    first, last = contact.face.lines[0].line, contact.face.lines[-1].line
    lines = f"layer {first}" if first == last else f"layers {first} to {last}"
    return f"face of {lines} on {line_words(contact.core.lines[0])}"


def _middles(thickness_m: FloatArray) -> FloatArray:
    bounds = ply_bounds(thickness_m)
    return np.asarray((bounds[:, :-1] + bounds[:, 1:]) / 2)


def unchecked_cores(runs: Sequence[Run]) -> Iterator[str]:
    """The cores of a sandwich whose strength or modulus through the thickness is not known."""
    for run in runs:
        if run.core is not None and run.core.shear_strength_mpa is None:
            yield f"core shear of {line_words(run.lines[0])}"
    for contact in contacts_of(runs):
        if not _through(contact.core):
            yield f"wrinkling of the {_face_words(contact)}"
