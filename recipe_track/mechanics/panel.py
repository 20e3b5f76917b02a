"""A rectangular panel under pressure and under a foot: which plate stands for it, how finely solved."""

from dataclasses import dataclass, replace

import numpy as np

from recipe_track.mechanics.arrays import BoolArray, FloatArray, IntArray
from recipe_track.mechanics.corner import convergence_power
from recipe_track.mechanics.field import Field, Points
from recipe_track.mechanics.fineness import (
    PATCH_REACH,
    PRESSURE_REACH,
    Kind,
    asks_for_more,
    field_kinds,
    kind_of,
    shortened,
    usual_kinds,
)
from recipe_track.mechanics.places import (
    CENTRE,
    EDGE_X,
    EDGE_Y,
    PANEL_GRID,
    PANEL_PLACES,
    PATCH_GRID,
    PATCH_PLACES,
    counted_places,
)
from recipe_track.mechanics.plate import Looked, Plates, Solution, solve, solve_fields

PLACES = ("centre", "edge x−", "edge x+", "edge y−", "edge y+")
CHUNK_NUMBERS = 2_000_000
_BESIDE = 1.2
"""Sides of the patch within which the patch grid stands for that of the panel, which has fewer waves."""


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


@dataclass(frozen=True, slots=True)
class PanelFields:
    """What panels do all over; n panels, nan where a panel carries nothing or has no such load.

    pressure over `places.PANEL_PLACES`, patch over these and `places.PATCH_PLACES` after them; 0 at places
    that do not count, see `places.counted_places`, and for the patch at those under it. None where no panel
    has a patch.
    """

    response: PanelResponse
    pressure: Field
    patch: Field | None


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
    found = _nothing(plates.take(carrying), fields=False)
    _respond(plates.take(carrying), clamped[carrying], found)
    return PanelResponse(
        *(_spread(getattr(found.solution, name), carrying, len(s_x)) for name in PanelResponse.__slots__)
    )


def panel_fields(
    d_star: FloatArray,
    s_x: FloatArray,
    s_y: FloatArray,
    length_x_m: FloatArray,
    length_y_m: FloatArray,
    clamped: BoolArray,
    pressure_pa: FloatArray,
    patch_force_n: FloatArray,
    patch_side_m: FloatArray,
) -> PanelFields:
    """Response of panels with their curvatures and transverse forces all over, under both loads.

    The same plate and the same solution as `panel_response`; where bending and twist are coupled the fields
    are solved more finely. At the centre and in the middle of the edges the field of the pressure is that of
    the response, taken from the reactions there. Under the patch the bending that polynomials would follow
    badly comes from the periodic plate of `patch`, exact under the patch and smooth elsewhere.

    Against the converged solution the greatest strain is within 3 % and the greatest transverse force of
    sandwiches within 1 % under pressure, 3 % under the patch. Under pressure two kinds of panels go beyond
    that, as measured: with a coupling above 0.25, fibre of mostly one direction off the axes, strains are
    within 6 %; on supports with a coupling between 0.02 and 0.1, where they are greatest right beside a
    corner, within 9 %. Where the reactions give more than that at a mid-edge, theirs counts. Transverse
    forces of single skins are worthless; they enter no margin.

    Parameters
    ----------
    As for `panel_response`.

    Returns
    -------
    PanelFields

    References
    ----------
    As for `panel_response`.
    """
    plates = Plates(d_star, s_x, s_y, length_x_m, length_y_m, pressure_pa, patch_force_n, patch_side_m)
    carrying = np.flatnonzero((d_star[:, 0, 0] > 0) & (s_x > 0) & (s_y > 0))
    count = len(s_x)
    own, held = plates.take(carrying), clamped[carrying]
    found = _nothing(own, fields=True)
    _respond(own, held, found)
    _with_response(found)
    _leave_out(~counted_places(own.d_star, held), _under_patch(own), found)
    response = PanelResponse(
        *(_spread(getattr(found.solution, name), carrying, count) for name in PanelResponse.__slots__)
    )
    pressure, patch = (
        Field(*(_spread(part, carrying, count) for part in (field.curvature_per_m, field.shear_n_per_m)))
        for field in (found.pressure, found.patch)
    )
    return PanelFields(response, pressure, patch if np.isfinite(patch_force_n).any() else None)


@dataclass(frozen=True, slots=True)
class _Found:
    """Arrays that solutions of groups of plates are written into; fields without places if none are asked."""

    solution: Solution
    pressure: Field
    patch: Field


def _nothing(plates: Plates, fields: bool) -> _Found:
    count, without = len(plates.s_x), ~np.isfinite(plates.force_n)
    solution = ((count,), (count,), (count, len(PLACES), 3), (count, 2))
    panel = len(PANEL_PLACES) if fields else 0
    both = panel + len(PATCH_PLACES) if fields and not without.all() else 0
    pressure, patch = (
        Field(np.empty((count, 3, places)), np.empty((count, 2, places))) for places in (panel, both)
    )
    patch.curvature_per_m[without], patch.shear_n_per_m[without] = np.nan, np.nan
    return _Found(Solution(*(np.full(shape, np.nan) for shape in solution)), pressure, patch)


@dataclass(frozen=True, slots=True)
class _Job:
    """Panels, the plates that stand for them, how finely these are solved, and the fields wanted (n,)."""

    whole: Plates
    plates: Plates
    kinds: IntArray
    pressure: BoolArray
    patch: BoolArray


def _respond(plates: Plates, clamped: BoolArray, found: _Found) -> None:
    """Solve for the pressure, and for the patch along with it where both take the panel equally long.

    Fields that ask for more functions than the deflections are solved once more.
    """
    fields = found.pressure.curvature_per_m.shape[2] > 0
    patch, none = np.isfinite(plates.force_n), np.zeros(len(clamped), dtype=bool)
    pressed = shortened(plates, clamped, PRESSURE_REACH, np.zeros(len(clamped)))
    patched = shortened(plates, clamped, PATCH_REACH, np.where(patch, plates.side_m, 0.0))
    alike = (pressed.length_x_m == patched.length_x_m) & (pressed.length_y_m == patched.length_y_m)
    finer, finer_patch = (fields & asks_for_more(plates.d_star, clamped, on) for on in (False, True))
    usual = usual_kinds(pressed, clamped, patch & alike)
    _run(_Job(plates, pressed, usual, fields & ~finer, fields & patch & alike & ~finer_patch), ~none, found)
    usual = usual_kinds(patched, clamped, patch)
    alone = _Job(plates, patched, usual, none, fields & ~finer_patch)
    _run(alone, patch & ~alike, found, ("patch_deflection_m",))
    again = field_kinds(pressed, clamped, none), field_kinds(patched, clamped, patch)
    _run(_Job(plates, pressed, again[0], finer, none), finer, found, ())
    _run(_Job(plates, patched, again[1], none, patch), patch & finer_patch, found, ())


def _run(
    job: _Job, chosen: BoolArray, found: _Found, names: tuple[str, ...] = tuple(Solution.__slots__)
) -> None:
    """Solve the chosen panels in groups that share their tables, in pieces that fit in memory.

    `names` of the solution are written.
    """
    rows = np.concatenate([job.kinds, job.pressure[:, None], job.patch[:, None]], axis=1)
    for row in np.unique(rows[chosen], axis=0):
        kind, members = kind_of(row[:-2]), np.flatnonzero(chosen & (rows == row).all(axis=1))
        at_once = max(1, CHUNK_NUMBERS // (kind.basis.count_x * kind.basis.count_y) ** 2)
        for start in range(0, len(members), at_once):
            piece = members[start : start + at_once]
            _solve_alike(job, kind, piece, found, names)


def _solve_alike(job: _Job, kind: Kind, piece: IntArray, found: _Found, names: tuple[str, ...]) -> None:
    """Solve panels of one kind and write them where they belong."""
    plates = job.plates.take(piece)
    looked = _looked(job.whole.take(piece), plates, job.pressure[piece[0]], job.patch[piece[0]])
    solution, pressure, patch = solve_fields(plates, kind.basis, kind.with_patch, looked)
    if pressure is not None:
        _put(found.pressure, pressure, piece)
    if patch is not None:
        _put(found.patch, patch, piece)
    if names and kind.sharp:
        solution = _gone_on(plates, kind, solution)
    for name in names:
        getattr(found.solution, name)[piece] = getattr(solution, name)


def _put(into: Field, field: Field, at: IntArray) -> None:
    into.curvature_per_m[at] = field.curvature_per_m
    into.shear_n_per_m[at] = field.shear_n_per_m


def _looked(whole: Plates, plates: Plates, pressure: bool, patch: bool) -> Looked:
    """Where the places of panels lie in plates that are solved shorter, as seen from the load.

    Under the pressure a place is as far from the nearer end as in the panel, or in the middle; under the
    patch it is as far from the middle, or at the end, where nothing is felt of the patch any more.
    """
    over_x, over_y = (
        np.ones(1) if (by == 1).all() else by
        for by in (whole.length_x_m / plates.length_x_m, whole.length_y_m / plates.length_y_m)
    )
    x, y = (np.linspace(low, 1, count) for low, count in ((0, PANEL_GRID // 2 + 1), (-1, PANEL_GRID)))
    pressed = Points(_from_end(x, over_x), _from_end(y, over_y)) if pressure else None
    if not patch:
        return Looked(pressed)
    from_middle = Points(np.minimum(x * over_x[:, None], 1.0), np.clip(y * over_y[:, None], -1.0, 1.0))
    u, v = (np.linspace(low, 1, count) for low, count in ((0, PATCH_GRID // 2 + 1), (-1, PATCH_GRID)))
    part_x, part_y = (
        np.minimum(plates.side_m / length, 1.0) for length in (plates.length_x_m, plates.length_y_m)
    )
    return Looked(pressed, (from_middle, Points(u * part_x[:, None], v * part_y[:, None])))


def _from_end(at: FloatArray, over: FloatArray) -> FloatArray:
    """Places that are as far from the nearer end of a plate as in one so many times as long. (n, place)"""
    inward = np.minimum((1 - np.abs(at)) * over[:, None], 1.0)
    return np.asarray(np.sign(at) * (1 - inward))


def _gone_on(plates: Plates, kind: Kind, fine: Solution) -> Solution:
    """Deflections of plates with sharp corners taken on to where finer solutions tend."""
    basis = kind.basis
    fewer = replace(basis, count_x=basis.count_x * 2 // 3, count_y=basis.count_y * 2 // 3)
    coarse = solve(plates, fewer, kind.with_patch)
    ahead = 1 / (1.5 ** convergence_power(plates.d_star) - 1)
    fine_m, coarse_m = fine.patch_deflection_m, coarse.patch_deflection_m
    return replace(
        fine,
        deflection_m=fine.deflection_m + ahead * (fine.deflection_m - coarse.deflection_m),
        patch_deflection_m=fine_m + ahead * (fine_m - coarse_m),
    )


def _with_response(found: _Found) -> None:
    """Put the bending and the shear that the reactions give in place of those of the field."""
    curvature, shear = found.pressure.curvature_per_m, found.pressure.shear_n_per_m
    for place, response in ((CENTRE, 0), (EDGE_X, 2), (EDGE_Y, 4)):
        curvature[:, :, place] = found.solution.curvature_per_m[:, response]
    for place, axis in ((EDGE_X, 0), (EDGE_Y, 1)):
        size = found.solution.edge_shear_n_per_m[:, axis]
        shear[:, axis, place] = np.copysign(size, shear[:, axis, place])


def _leave_out(places: BoolArray, under_patch: BoolArray, found: _Found) -> None:
    """Nothing at places of the panel that do not count, nor at those that the patch grid looks at closer.

    places, under_patch (n, 231)
    """
    for field, without in ((found.pressure, places), (found.patch, places | under_patch)):
        if field.curvature_per_m.shape[2]:
            rows, at = np.nonzero(without)
            field.curvature_per_m[rows, :, at] = 0.0
            field.shear_n_per_m[rows, :, at] = 0.0


def _under_patch(plates: Plates) -> BoolArray:
    """Which places of the panel grid lie under the patch or right beside it, but on no edge. (n, 231)"""
    along_x, along_y = (
        np.abs(PANEL_PLACES[:, axis]) * side[:, None] < np.minimum(_BESIDE * plates.side_m, side)[:, None]
        for axis, side in enumerate((plates.length_x_m, plates.length_y_m))
    )
    return np.asarray(along_x & along_y)


def _spread(values: FloatArray, at: IntArray, count: int) -> FloatArray:
    """Values put back among all panels, nan for the others."""
    if len(at) == count:
        return values
    spread = np.full((count, *values.shape[1:]), np.nan)
    spread[at] = values
    return spread
