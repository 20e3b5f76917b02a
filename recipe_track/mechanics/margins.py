"""How much of what a panel can bear is used: strains of plies, shear of cores, wrinkling of faces.

A use is a ratio: 1 is the limit. Where several things could govern, the greatest does, and its place in the
arrays is given as indices; names belong to whoever asks.
"""

from dataclasses import dataclass

import numpy as np

from recipe_track.mechanics.arrays import BoolArray, FloatArray, IntArray
from recipe_track.mechanics.laminate import Stiffness, inverse, mid_plane_strain
from recipe_track.mechanics.ply import strain_rotation

MODES = ("tension", "compression", "transverse", "shear")
"""Order of strain limits and of the modes of `StrainUse`."""


@dataclass(frozen=True, slots=True)
class StrainUse:
    """Greatest strain use of each panel, nan where no limit is known, and where it stands.

    use (n,); ply, place, face, mode (n,): indices of the ply, of the place (panel.PLACES), of the ply's face
    (0 towards the mould, 1 towards the bag) and into MODES, −1 where nothing is checked.
    """

    use: FloatArray
    ply: IntArray
    place: IntArray
    face: IntArray
    mode: IntArray


@dataclass(frozen=True, slots=True)
class CoreShearUse:
    """Greatest core shear use (n,), nan where none is checked; ply (n,) and direction (n,), 0 x and 1 y."""

    use: FloatArray
    ply: IntArray
    direction: IntArray


@dataclass(frozen=True, slots=True)
class WrinklingUse:
    """Greatest wrinkling use (n,), nan where none is checked; face, place, direction (n,), −1 there."""

    use: FloatArray
    face: IntArray
    place: IntArray
    direction: IntArray


def strain_use(
    laminate: Stiffness,
    curvature_per_m: FloatArray,
    z_m: FloatArray,
    angle_rad: FloatArray,
    random: BoolArray,
    limits: FloatArray,
) -> StrainUse:
    """Greatest ratio of strain to limit over the places of a panel and both faces of every ply.

    Along the fibre tension and compression count, across it and in shear the size; a random ply has its
    principal strains counted against tension and compression alone. A woven fabric is given once for each
    of its directions, with the same faces.

    Parameters
    ----------
    laminate : Stiffness
        (n, 3, 3) each.
    curvature_per_m : (n, place, 3)
        κx, κy, κxy of the panel at each place. [1/m]
    z_m : (n, ply, 2)
        Height of both faces of the ply over the mid-plane. [m]
    angle_rad : (n, ply)
        Fibre direction from x towards y; of no effect on a random ply. [rad]
    random : (n, ply)
        Whether the ply's fibres lie at random.
    limits : (n, ply, 4)
        Strain limits in the order of MODES, above 0; nan is not checked. [-]

    Returns
    -------
    StrainUse

    References
    ----------
    R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, ch. 2, maximum strain (from memory).
    """
    middle = mid_plane_strain(laminate, curvature_per_m)
    strain = middle[:, None, :, None] + curvature_per_m[:, None, :, None] * z_m[:, :, None, :, None]
    demand = ply_demand(strain, angle_rad, random)
    checked = np.where(random[:, :, None] & (np.arange(4) >= 2), np.nan, limits)
    use, at = _greatest(demand / checked[:, :, None, None])
    return StrainUse(use, *at)


def ply_demand(strain: FloatArray, angle_rad: FloatArray, random: BoolArray) -> FloatArray:
    """What strains ask of plies: tension, compression, across and shear, in the order of MODES.

    Parameters
    ----------
    strain : (n, ply, place, face, 3)
        εx, εy, γxy. [-]
    angle_rad, random : (n, ply)
        As for `strain_use`.

    Returns
    -------
    (n, ply, place, face, 4)
        Negative where it is the other of tension and compression; of a random ply its principal strains. [-]
    """
    along = np.einsum("npij,nplfj->nplfi", strain_rotation(angle_rad), strain)
    fibre = np.where(random[:, :, None, None, None], _principal(strain), along)
    demand = np.stack([fibre[..., 0], -fibre[..., 0], np.abs(fibre[..., 1]), np.abs(fibre[..., 2])], axis=-1)
    demand[..., 1] = np.where(random[:, :, None, None], -fibre[..., 1], demand[..., 1])
    return demand


def core_shear_use(
    edge_shear_n_per_m: FloatArray, peak_flow_per_m: FloatArray, strength_pa: FloatArray
) -> CoreShearUse:
    """Greatest ratio of the transverse shear stress in a core to its strength.

    Parameters
    ----------
    edge_shear_n_per_m : (n, 2)
        Size of Qx and Qy at the mid-edges. [N/m]
    peak_flow_per_m : (n, ply, 2)
        `shear.peak_shear_flow` of each ply along x and along y. [1/m]
    strength_pa : (n, ply)
        Shear strength; nan for plies that are no core and cores whose strength is not known. [Pa]

    Returns
    -------
    CoreShearUse

    References
    ----------
    D. Zenkert, An Introduction to Sandwich Construction, 1995 (from memory).
    """
    use, at = _greatest(edge_shear_n_per_m[:, None] * peak_flow_per_m / strength_pa[..., None])
    return CoreShearUse(use, *at)


def wrinkling_stress(face_pa: FloatArray, core_pa: FloatArray, core_shear_pa: FloatArray) -> FloatArray:
    """Compressive stress at which a face on a core is taken to wrinkle: 0.5 (Ef Ec Gc)^(1/3).

    Parameters
    ----------
    face_pa : (...)
        Young's modulus of the face in the direction looked at. [Pa]
    core_pa, core_shear_pa : (...)
        Young's modulus of the core through the thickness, and its smaller transverse shear modulus. [Pa]

    Returns
    -------
    (...)
        Design value; theory gives 0.85 to 0.91 in place of 0.5. [Pa]

    References
    ----------
    N. J. Hoff and S. E. Mautner, 1945, as in H. G. Allen, 1969, and D. Zenkert, 1995 (from memory).
    """
    return np.asarray(0.5 * np.cbrt(face_pa * core_pa * core_shear_pa))


def wrinkling_use(
    laminate: Stiffness,
    curvature_per_m: FloatArray,
    q_bar_pa: FloatArray,
    thickness_m: FloatArray,
    z_m: FloatArray,
    in_face: BoolArray,
    core_pa: FloatArray,
    core_shear_pa: FloatArray,
) -> WrinklingUse:
    """Greatest ratio of the mean compressive stress of a face, along x or y, to its wrinkling stress.

    The stress is the force that the face carries per width over its thickness; its modulus is 1/(a11 t), of
    the face alone pulled in its plane.

    Parameters
    ----------
    laminate : Stiffness
        (n, 3, 3) each.
    curvature_per_m : (n, place, 3)
        κx, κy, κxy of the panel at each place. [1/m]
    q_bar_pa : (n, ply, 3, 3)
        Plane-stress stiffness in zone axes. [Pa]
    thickness_m, z_m : (n, ply)
        Thickness of each ply and height of its middle over the mid-plane. [m]
    in_face : (n, face, ply)
        Which plies make up each face; coatings belong to none.
    core_pa, core_shear_pa : (n, face)
        Of the core under each face: modulus through the thickness, smaller shear modulus; nan is not
        checked. [Pa]

    Returns
    -------
    WrinklingUse

    References
    ----------
    As `wrinkling_stress`.
    """
    per_curvature, modulus = face_compression(laminate, q_bar_pa, thickness_m, z_m, in_face)
    stress = np.swapaxes(per_curvature @ np.swapaxes(curvature_per_m, 1, 2)[:, None], 2, 3)
    allowed = wrinkling_stress(modulus, core_pa[..., None], core_shear_pa[..., None])
    use, at = _greatest(np.maximum(stress, 0.0) / allowed[:, :, None])
    return WrinklingUse(use, *at)


def face_compression(
    laminate: Stiffness,
    q_bar_pa: FloatArray,
    thickness_m: FloatArray,
    z_m: FloatArray,
    in_face: BoolArray,
) -> tuple[FloatArray, FloatArray]:
    """Mean compressive stress of faces along x and y per unit curvature, and the moduli they resist with.

    Parameters
    ----------
    laminate, q_bar_pa, thickness_m, z_m, in_face
        As for `wrinkling_use`.

    Returns
    -------
    per_curvature : (n, face, 2, 3)
        Stress along x and y for κx, κy, κxy of 1; 0 for a face that carries nothing. [Pa·m]
    modulus_pa : (n, face, 2)
        1/(a11 t) and 1/(a22 t) of the face alone; nan for one that carries nothing. [Pa]
    """
    weight = thickness_m[:, None] * in_face
    total = weight.sum(axis=-1)
    stretch = np.einsum("nfp,npij->nfij", weight, q_bar_pa)
    moment = np.einsum("nfp,npij->nfij", weight * z_m[:, None], q_bar_pa)
    middle = -inverse(laminate.a) @ laminate.b
    force = (stretch @ middle[:, None] + moment)[..., :2, :]
    compliance = inverse(stretch)[..., [0, 1], [0, 1]] * total[..., None]
    carries = compliance > 0
    modulus = np.divide(1.0, compliance, out=np.full(compliance.shape, np.nan), where=carries)
    per_curvature = np.divide(
        -force, total[..., None, None], out=np.zeros_like(force), where=carries[..., None]
    )
    return per_curvature, modulus


def _principal(strain: FloatArray) -> FloatArray:
    """Greatest and least strain in the plane, and no shear, in place of εx, εy, γxy."""
    mean, half = (strain[..., 0] + strain[..., 1]) / 2, (strain[..., 0] - strain[..., 1]) / 2
    radius = np.hypot(half, strain[..., 2] / 2)
    return np.stack([mean + radius, mean - radius, np.zeros(mean.shape)], axis=-1)


def _greatest(uses: FloatArray) -> tuple[FloatArray, tuple[IntArray, ...]]:
    """Greatest use of each panel and its indices, the first of equals; nan and −1 where all are nan.

    Places that mirror each other differ by rounding alone, on each machine in its own way: equal to 1e-9 is
    equal.
    """
    flat = uses.reshape(len(uses), -1)
    known = ~np.isnan(flat)
    greatest = np.where(known, flat, -np.inf).max(axis=1)
    at = (flat >= (greatest - 1e-9 * np.abs(greatest))[:, None]).argmax(axis=1)
    checked = known.any(axis=1)
    use = np.where(checked, greatest, np.nan)
    return use, tuple(np.where(checked, index, -1) for index in np.unravel_index(at, uses.shape[1:]))
