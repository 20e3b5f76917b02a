"""A rectangular panel under pressure and under a foot: which plate stands for it, how finely solved."""

from dataclasses import dataclass, replace

import numpy as np

from recipe_track.mechanics.arrays import BoolArray, FloatArray, IntArray
from recipe_track.mechanics.corner import convergence_power, decay_length
from recipe_track.mechanics.plate import Plates, Solution, solve
from recipe_track.mechanics.ritz import Basis

PLACES = ("centre", "edge x−", "edge x+", "edge y−", "edge y+")

# How many decay lengths a panel is at most taken long, supported and clamped. Measured: beyond them the
# deflection in the middle changes by less than 0.1 % (pressure) and 0.2 % (patch).
_PRESSURE_REACH = (6.0, 5.0)
_PATCH_REACH = (3.0, 2.5)
_LONG = 2.05
# Functions along the longer and the shorter side, by how slender a panel is as bending feels it: measured on
# random laminates, so that no deflection is off by more than 0.5 %. No round number is a bound: rounding must
# not decide how finely the panel of such a ratio is solved.
_SLENDER = np.array([1.61, 2.21, 2.61, 4.01])
_COUNTS = np.array([[8, 12, 12, 14, 18], [8, 6, 6, 6, 6]])
_PATCH_COUNTS = np.array([[8, 12, 14, 18, 18], [8, 6, 8, 8, 8]])
_SHARP_COUNTS = np.array([[12, 18, 18, 24, 24], [12, 12, 12, 12, 12]])
_SHARP_COUPLING = 0.25
_FULL_COUPLING = 0.1
CHUNK_NUMBERS = 400_000


@dataclass(frozen=True, slots=True)
class PanelResponse:
    """What panels do under their loads; n panels, nan where a panel carries nothing or has no such load.

    deflection_m, patch_deflection_m (n,): at the centre, towards the bag side [m]. curvature_per_m (n, 5, 3):
    κx, κy, κxy under the pressure at the centre and at the middles of the edges x−, x+, y−, y+, see PLACES.
    edge_shear_n_per_m (n, 2): size of Qx in the middle of the x edges and of Qy in that of the y edges, under
    the pressure. [N/m]
    """

    deflection_m: FloatArray
    patch_deflection_m: FloatArray
    curvature_per_m: FloatArray
    edge_shear_n_per_m: FloatArray


def panel_response(
    d_star: FloatArray,
    s_x: FloatArray,
    s_y: FloatArray,
    length_x_m: FloatArray,
    length_y_m: FloatArray,
    clamped: BoolArray,
    pressure_pa: FloatArray,
    patch_force_n: FloatArray,
    patch_side_m: FloatArray,
) -> PanelResponse:
    """Response of rectangular panels, clamped or hard simply supported on all four sides.

    First-order shear-deformation plate with all six bending terms, solved by Ritz with hierarchical
    polynomials. Pressure and force push from the mould side towards the bag side (+z); deflections are
    positive towards the bag side, and a positive curvature stretches the bag side.

    Deflections are within 0.5 % of the converged solution, also for thin skins, soft cores, off-axis skins
    and small patches. A panel much longer than wide is shortened to where its ends are no longer felt in the
    middle, which is within the same bound. Edge shear is within 2 % of the converged solution for
    sandwiches; for thin single skins, where it enters no margin, it is some percent off. Curvatures are
    within 1 % in the middle and, for 95 of 100 random laminates, within 3 % of the greatest at the edges, at
    worst 11 %; where corners are sharp, see `corner.convergence_power`, within 5 % in the middle.

    Parameters
    ----------
    d_star : (n, 3, 3)
        Bending stiffness about the neutral surface. [N·m]
    s_x, s_y : (n,)
        Transverse shear stiffness. [N/m]
    length_x_m, length_y_m : (n,)
        Sides along the zone's x and y. [m]
    clamped : (n,)
        True: no deflection and no rotation at the edges; False: no deflection and no rotation along them.
    pressure_pa : (n,)
        Uniform pressure. [Pa]
    patch_force_n, patch_side_m : (n,)
        Force spread evenly over a centred square of that side; nan where there is none. [N, m]

    Returns
    -------
    PanelResponse

    References
    ----------
    J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed., 2004 (from memory); checked
    against Timoshenko's tables, Navier's and Lévy's series and a finite-element plate in the tests.
    """
    plates = Plates(d_star, s_x, s_y, length_x_m, length_y_m, pressure_pa, patch_force_n, patch_side_m)
    carrying = np.flatnonzero((d_star[:, 0, 0] > 0) & (s_x > 0) & (s_y > 0))
    found = _responses(plates.take(carrying), clamped[carrying])
    return PanelResponse(*(_spread(getattr(found, name), carrying, len(s_x)) for name in found.__slots__))


def _responses(plates: Plates, clamped: BoolArray) -> Solution:
    """Solve for the pressure, and for the patch along with it where both take the panel equally long."""
    patch = np.isfinite(plates.force_n)
    pressed = _shortened(plates, clamped, _PRESSURE_REACH, np.zeros(len(clamped)))
    patched = _shortened(plates, clamped, _PATCH_REACH, np.where(patch, plates.side_m, 0.0))
    alike = (pressed.length_x_m == patched.length_x_m) & (pressed.length_y_m == patched.length_y_m)
    found = _solved(pressed, clamped, patch & alike)
    alone = np.flatnonzero(patch & ~alike)
    again = _solved(patched.take(alone), clamped[alone], np.ones(len(alone), dtype=bool))
    found.patch_deflection_m[alone] = again.patch_deflection_m
    return found


def _shortened(
    plates: Plates, clamped: BoolArray, reach: tuple[float, float], loaded_m: FloatArray
) -> Plates:
    """Panels no longer than what is loaded and the reach of it, in decay lengths (supported, clamped)."""
    length_x, length_y = plates.length_x_m.copy(), plates.length_y_m.copy()
    slender = _slenderness(plates)
    turned = [1, 0, 2]
    for long, wide, d, ratio, longer in (
        (length_x, plates.length_y_m, plates.d_star, plates.s_x / plates.s_y, slender > _LONG),
        (
            length_y,
            plates.length_x_m,
            plates.d_star[:, turned][:, :, turned],
            plates.s_y / plates.s_x,
            slender < 1 / _LONG,
        ),
    ):
        at = np.flatnonzero(longer)
        felt = np.maximum(decay_length(d[at]), np.sqrt(ratio[at])) * wide[at]
        long[at] = np.minimum(long[at], loaded_m[at] + np.where(clamped[at], reach[1], reach[0]) * felt)
    return replace(plates, length_x_m=length_x, length_y_m=length_y)


def _slenderness(plates: Plates) -> FloatArray:
    """Length along x over length along y of the panels as bending feels them."""
    stiffness = plates.d_star[:, 1, 1] / plates.d_star[:, 0, 0]
    return np.asarray(plates.length_x_m / plates.length_y_m * stiffness**0.25)


def _solved(plates: Plates, clamped: BoolArray, with_patch: BoolArray) -> Solution:
    """Solve panels in groups that share their tables, in pieces that fit in memory."""
    count = len(clamped)
    shapes = ((count,), (count,), (count, len(PLACES), 3), (count, 2))
    found = Solution(*(np.full(shape, np.nan) for shape in shapes))
    coupling = _coupling(plates.d_star)
    sharp = ~clamped & (coupling > _SHARP_COUPLING)
    full = clamped & (coupling > _FULL_COUPLING)
    kinds = np.stack([*_counts(plates, sharp, with_patch), clamped, full, with_patch, sharp], axis=1)
    for kind in np.unique(kinds, axis=0):
        count_x, count_y, *flags = kind.tolist()
        basis = Basis(count_x, count_y, bool(flags[0]), bool(flags[1]))
        members = np.flatnonzero((kinds == kind).all(axis=1))
        at_once = max(1, CHUNK_NUMBERS // (count_x * count_y) ** 2)
        for start in range(0, len(members), at_once):
            piece = members[start : start + at_once]
            part = _solved_alike(plates.take(piece), basis, bool(flags[2]), bool(flags[3]))
            for name in found.__slots__:
                getattr(found, name)[piece] = getattr(part, name)
    return found


def _solved_alike(plates: Plates, basis: Basis, with_patch: bool, sharp: bool) -> Solution:
    """Solve panels of one kind; where corners are sharp, deflections go on to where finer solutions tend."""
    fine = solve(plates, basis, with_patch)
    if not sharp:
        return fine
    fewer = replace(basis, count_x=basis.count_x * 2 // 3, count_y=basis.count_y * 2 // 3)
    coarse = solve(plates, fewer, with_patch)
    ahead = 1 / (1.5 ** convergence_power(plates.d_star) - 1)
    fine_m, coarse_m = fine.patch_deflection_m, coarse.patch_deflection_m
    return replace(
        fine,
        deflection_m=fine.deflection_m + ahead * (fine.deflection_m - coarse.deflection_m),
        patch_deflection_m=fine_m + ahead * (fine_m - coarse_m),
    )


def _coupling(d_star: FloatArray) -> FloatArray:
    """How strongly bending and twist are coupled: 0 not at all, 1 not possible."""
    bend, twist = d_star[:, [0, 1], [0, 1]], d_star[:, 2, 2, None]
    return np.asarray((d_star[:, [0, 1], 2] ** 2 / (bend * twist)).max(axis=1))


def _counts(plates: Plates, sharp: BoolArray, with_patch: BoolArray) -> tuple[IntArray, IntArray]:
    """Functions along x and y: more along the side that is longer as bending feels it."""
    slender = _slenderness(plates)
    step = np.searchsorted(_SLENDER, np.maximum(slender, 1 / slender))
    usual = np.where(with_patch, _PATCH_COUNTS[:, step], _COUNTS[:, step])
    long, short = np.where(sharp, _SHARP_COUNTS[:, step], usual)
    return np.where(slender >= 1, long, short), np.where(slender >= 1, short, long)


def _spread(values: FloatArray, at: IntArray, count: int) -> FloatArray:
    """Values put back among all panels, nan for the others."""
    spread = np.full((count, *values.shape[1:]), np.nan)
    spread[at] = values
    return spread
