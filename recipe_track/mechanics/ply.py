"""One ply: what its fibre and resin make of thickness and stiffness."""

import numpy as np

from recipe_track.mechanics.arrays import FloatArray


def cured_ply(
    fibre_mass_kg_m2: FloatArray,
    fibre_mass_fraction: FloatArray,
    fibre_density_kg_m3: FloatArray,
    resin_density_kg_m3: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Thickness and fibre volume fraction of a ply without voids.

    Parameters
    ----------
    fibre_mass_kg_m2 : (...)
        Dry fibre of the ply; 0 pads, with no thickness and no fibre. [kg/m²]
    fibre_mass_fraction : (...)
        Fibre over fibre plus resin, above 0 and at most 1. [-]
    fibre_density_kg_m3, resin_density_kg_m3 : (...)
        Densities, the resin's as cured. [kg/m³]

    Returns
    -------
    thickness_m, fibre_volume_fraction : (...)
        Cured thickness [m]; fibre volume over ply volume [-].

    References
    ----------
    Conservation of volume; with 2560 and 1200 kg/m³ it is the ``(2.56/ψ − 1.36)/3.072`` mm per kg/m² of
    small-craft scantling rules (from memory).
    """
    fibre_m = np.asarray(fibre_mass_kg_m2 / fibre_density_kg_m3)
    resin_m = fibre_mass_kg_m2 * (1 - fibre_mass_fraction) / (fibre_mass_fraction * resin_density_kg_m3)
    thickness_m = np.asarray(fibre_m + resin_m)
    fraction = np.divide(fibre_m, thickness_m, out=np.zeros(np.shape(thickness_m)), where=thickness_m > 0)
    return thickness_m, fraction


def with_voids(
    thickness_m: FloatArray, fibre_volume_fraction: FloatArray, void_fraction: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Thickness and fibre volume fraction of a ply whose fibre and resin leave voids between them.

    Parameters
    ----------
    thickness_m, fibre_volume_fraction : (...)
        Of the ply without voids, as `cured_ply` gives them. [m, -]
    void_fraction : (...)
        Voids over the volume of the ply, at least 0 and below 1. [-]

    Returns
    -------
    thickness_m, fibre_volume_fraction : (...)
        1/(1 − v) and 1 − v times those without voids; the mass is the same. [m, -]

    References
    ----------
    Conservation of volume, as ASTM D2734 defines a void content (from memory).
    """
    solid = 1 - void_fraction
    return np.asarray(thickness_m / solid), np.asarray(fibre_volume_fraction * solid)


def unidirectional_constants(
    fibre_volume_fraction: FloatArray,
    fibre_axial_pa: FloatArray,
    fibre_transverse_pa: FloatArray,
    fibre_shear_pa: FloatArray,
    fibre_nu: FloatArray,
    resin_pa: FloatArray,
    resin_nu: FloatArray,
    void_fraction: FloatArray | float = 0.0,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Elastic constants E1, E2, G12, ν12 of a unidirectional ply.

    Rule of mixtures along the fibre, semi-empirical forms across it. At a fibre volume fraction of 0 the
    ply is resin in shear and resin under plane strain across: E2 is then Em/(1 − νm²), not Em. Voids are
    taken to lie in the resin: it counts for as much less, by its volume along the fibre, by the share of
    solid resin in what lies between the fibres across it. ν12 is left as it is without voids.

    Parameters
    ----------
    fibre_volume_fraction : (...)
        Between 0 and 1, over the ply with its voids; fitted to usual laminates, some 0.1 to 0.7. [-]
    fibre_axial_pa, fibre_transverse_pa, fibre_shear_pa : (...)
        Young's moduli along and across the fibre, shear modulus. [Pa]
    fibre_nu, resin_nu : (...)
        Poisson's ratios. [-]
    resin_pa : (...)
        Young's modulus of the resin; its shear modulus follows from isotropy. [Pa]
    void_fraction : (...)
        Voids over the volume of the ply, at least 0 and at most what the fibre leaves. [-]

    Returns
    -------
    e1_pa, e2_pa, g12_pa, nu12 : (...)
        In ply axes, 1 along the fibre. [Pa, Pa, Pa, -]

    References
    ----------
    A. Puck, Grundlagen der Spannungs- und Verformungsanalyse, Kunststoffe 57 (1967) (from memory); the voids
    are common practice, no source.
    """
    fibre, resin = fibre_volume_fraction, 1 - np.asarray(fibre_volume_fraction)
    solid = np.divide(resin - void_fraction, resin, out=np.ones(np.shape(resin)), where=resin > 0)
    resin_shear_pa = solid * resin_pa / (2 * (1 + resin_nu))
    resin_strain_pa = solid * resin_pa / (1 - resin_nu**2)
    e1_pa = fibre * fibre_axial_pa + (resin - void_fraction) * resin_pa
    nu12 = fibre * fibre_nu + resin * resin_nu
    matrix = resin**1.25
    e2_pa = resin_strain_pa * (1 + 0.85 * fibre**2) / (matrix + fibre * resin_strain_pa / fibre_transverse_pa)
    g12_pa = resin_shear_pa * (1 + 0.6 * fibre**0.5) / (matrix + fibre * resin_shear_pa / fibre_shear_pa)
    return e1_pa, e2_pa, g12_pa, nu12


def random_mat_constants(e1_pa: FloatArray, e2_pa: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Elastic constants E, G, ν of a mat whose fibres lie at random in its plane.

    Parameters
    ----------
    e1_pa, e2_pa : (...)
        Moduli of a unidirectional ply of the same fibre volume fraction. [Pa]

    Returns
    -------
    e_pa, g_pa, nu : (...)
        In-plane isotropic. Some 20 to 30 % above remembered regressions for real mats. [Pa, Pa, -]

    References
    ----------
    S. W. Tsai and N. J. Pagano, Invariant properties of composite materials, 1968 (from memory).
    """
    e_pa = 3 / 8 * e1_pa + 5 / 8 * e2_pa
    g_pa = 1 / 8 * e1_pa + 1 / 4 * e2_pa
    return e_pa, g_pa, e_pa / (2 * g_pa) - 1


def reduced_stiffness(
    e1_pa: FloatArray, e2_pa: FloatArray, g12_pa: FloatArray, nu12: FloatArray
) -> FloatArray:
    """Plane-stress stiffness Q of a ply in its own axes.

    Parameters
    ----------
    e1_pa, e2_pa, g12_pa : (...)
        Moduli; all 0 for a ply that carries nothing. [Pa]
    nu12 : (...)
        Strain across over strain along, pulled along; ``nu12² e2 < e1`` for a real material. [-]

    Returns
    -------
    (..., 3, 3)
        For ε1, ε2, γ12 (engineering shear). [Pa]

    References
    ----------
    R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, ch. 2 (from memory).
    """
    e1, e2, g12, nu = np.broadcast_arrays(e1_pa, e2_pa, g12_pa, nu12)
    q = np.zeros((*e1.shape, 3, 3))
    # 1/(1 - nu12 nu21) with nu21 = nu12 e2/e1, written so that a ply without stiffness gives 0, not 0/0
    factor = np.divide(e1, e1 - nu**2 * e2, out=np.zeros(e1.shape), where=e1 > 0)
    q[..., 0, 0] = factor * e1
    q[..., 1, 1] = factor * e2
    q[..., 0, 1] = q[..., 1, 0] = factor * nu * e2
    q[..., 2, 2] = g12
    return q


def rotated_stiffness(q_pa: FloatArray, angle_rad: FloatArray) -> FloatArray:
    """Plane-stress stiffness Q̄ in zone axes of a ply that lies at an angle.

    Parameters
    ----------
    q_pa : (..., 3, 3)
        Stiffness in ply axes, orthotropic or not, for engineering shear strain. [Pa]
    angle_rad : (...)
        From the zone's x axis to the ply's 1 axis, towards y. [rad]

    Returns
    -------
    (..., 3, 3)
        Stiffness in zone axes. [Pa]

    References
    ----------
    R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, ch. 2 (from memory): Q̄ = Tᵀ Q T with T
    taking engineering strains from zone to ply axes.
    """
    to_ply = strain_rotation(angle_rad)
    return np.swapaxes(to_ply, -1, -2) @ q_pa @ to_ply


def strain_rotation(angle_rad: FloatArray) -> FloatArray:
    """Matrix that takes strains from zone axes to the axes of a ply.

    Parameters
    ----------
    angle_rad : (...)
        From the zone's x axis to the ply's 1 axis, towards y. [rad]

    Returns
    -------
    (..., 3, 3)
        (ε1, ε2, γ12) = T (εx, εy, γxy), engineering shear. [-]

    References
    ----------
    R. M. Jones, Mechanics of Composite Materials, 2nd ed., 1999, ch. 2 (from memory).
    """
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    rows = [[c * c, s * s, c * s], [s * s, c * c, -c * s], [-2 * c * s, 2 * c * s, c * c - s * s]]
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)
