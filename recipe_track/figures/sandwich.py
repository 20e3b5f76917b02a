"""How much of a sandwich panel's limits are used: shear of its cores, wrinkling of its faces."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.limits import Use
from recipe_track.figures.loads import ACTING, SIDES, Loaded
from recipe_track.figures.plies import ResolvedLayer, line_words
from recipe_track.figures.si import KN, MM, MPA
from recipe_track.figures.stack import Laminates
from recipe_track.mechanics.arrays import BoolArray, FloatArray
from recipe_track.mechanics.field_margins import (
    WrinklingUse,
    core_crush_use,
    greatest_core_shear_use,
    greatest_wrinkling_use,
)
from recipe_track.mechanics.laminate import inverse, ply_bounds
from recipe_track.mechanics.margins import wrinkling_stress
from recipe_track.mechanics.shear import peak_shear_flow
from recipe_track.recipe.layup import Panel
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


def is_between_skins(runs: Sequence[Run], core: Run) -> bool:
    """Whether a core has a face that carries on both sides; without them it is no sandwich."""
    faces = [face for face in runs if face.core is None and _carries(face)]
    return any(f.end <= core.start for f in faces) and any(f.start >= core.end for f in faces)


def core_shear_uses(runs: Sequence[Sequence[Run]], laminates: Laminates, loaded: Loaded) -> list[Use | None]:
    """Greatest core shear stress over strength; None for a zone without a core of known strength."""
    cores = [
        (n, run, pair)
        for n, zone in enumerate(runs)
        for run in zone
        if (pair := strengths_of(run)) and is_between_skins(zone, run)
    ]
    uses: list[Use | None] = [None] * len(runs)
    if not cores:
        return uses
    strength = np.full((*laminates.thickness_m.shape, 2), np.nan)
    angle = np.zeros(laminates.thickness_m.shape)
    for n, run, pair in cores:
        strength[n, run.start : run.end] = pair
        angle[n, run.start : run.end] = np.radians(run.lines[0].layer.angle_deg)
    flow = np.stack(
        [peak_shear_flow(laminates.q_bar_pa[..., k, k], laminates.thickness_m) for k in (0, 1)], axis=-1
    )
    found = greatest_core_shear_use(loaded.field.shear_n_per_m, flow, angle, strength)
    for n, run, pair in cores:
        if run.start <= found.ply[n] < run.end:
            where = loaded.words(n, int(found.place[n]), int(loaded.side[n]))
            words = f"{where}, {line_words(run.lines[0])}, mostly along {AXES[found.direction[n]]}: shear"
            uses[n] = Use(float(found.use[n]) * min(pair), min(pair), words)
    return uses


def strengths_of(run: Run) -> tuple[float, float] | None:
    """Shear strength of a core along its directions L and W [Pa]."""
    core = run.core
    if core is None:
        return None
    if core.shear_strength_mpa is not None:
        return core.shear_strength_mpa * MPA, core.shear_strength_mpa * MPA
    if core.shear_strength_l_mpa is None or core.shear_strength_w_mpa is None:
        return None
    return core.shear_strength_l_mpa * MPA, core.shear_strength_w_mpa * MPA


def crush_use(runs: Sequence[Run], panel: Panel) -> Use | None:
    """How much of its strength the weakest core uses right under the foot, no face spreading the load."""
    cores = [
        (run.core.compressive_strength_mpa * MPA, run)
        for run in runs
        if run.core and run.core.compressive_strength_mpa is not None and is_between_skins(runs, run)
    ]
    if panel.patch is None or not cores:
        return None
    strength, core = min(cores, key=lambda one: one[0])
    force, side = panel.patch.force_kn * KN, panel.patch.side_mm * MM
    use = float(core_crush_use(np.array(force), np.array(side), np.array(strength)))
    acting = ACTING[SIDES[panel.patch.on]]
    words = (
        f"foot load {acting}, under the foot, {line_words(core.lines[0])}, through the thickness: crushing"
    )
    return Use(use * strength, strength, words)


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


def wrinkling_uses(runs: Sequence[Sequence[Run]], laminates: Laminates, loaded: Loaded) -> list[Use | None]:
    """Greatest compressive face stress over the stress at which the face wrinkles.

    None for a zone without a core whose modulus through the thickness is known.
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
    found = greatest_wrinkling_use(
        laminates.stiffness, loaded.field.curvature_per_m, loaded.side, q, t, _middles(t), in_face,
        through, shear,
    )  # fmt: skip
    limits = _limits(found, in_face, laminates, through, shear)
    return [
        _wrinkling(contacts[n][found.face[n]], found, n, limits[n], loaded) if found.face[n] >= 0 else None
        for n in range(len(runs))
    ]


def _wrinkling(contact: Contact, found: WrinklingUse, n: int, limit: float, loaded: Loaded) -> Use:
    where = loaded.words(n, int(found.place[n]), int(found.side[n]))
    words = f"{where}, {_face_words(contact)}, along {AXES[found.direction[n]]}: wrinkling"
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


def unchecked_cores(runs: Sequence[Run], panel: Panel) -> Iterator[str]:
    """The cores that are held against nothing: no strength or modulus is known, or they are no sandwich."""
    for run in runs:
        if run.core is None:
            continue
        words = line_words(run.lines[0])
        if not is_between_skins(runs, run):
            yield f"{words} as a core: no skin that carries on both its sides"
        elif strengths_of(run) is None:
            yield f"core shear of {words}"
        if panel.patch and run.core.compressive_strength_mpa is None and is_between_skins(runs, run):
            yield f"crushing of {words}"
    for contact in contacts_of(runs):
        if not _through(contact.core):
            yield f"wrinkling of the {_face_words(contact)}"
