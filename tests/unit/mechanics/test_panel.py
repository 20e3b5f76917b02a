"""Panels: many at once, those that cannot be computed, signs, and how they are taken apart."""

import numpy as np
import pytest

from recipe_track.mechanics import panel
from recipe_track.mechanics.panel import PLACES, PanelResponse, panel_response
from recipe_track.mechanics.plate import Plates, Solution, solve
from recipe_track.mechanics.ritz import Basis

ISOTROPIC = np.array([[1.0, 0.3, 0.0], [0.3, 1.0, 0.0], [0.0, 0.0, 0.35]])
COUPLED = np.array([[400.0, 90.0, 60.0], [90.0, 300.0, 40.0], [60.0, 40.0, 120.0]])
STIFFER = np.array([[50.0, 20.0, 0.0], [20.0, 800.0, 0.0], [0.0, 0.0, 60.0]])  # twice as slender: 16 ** 0.25
SLENDER = np.array([[30.0, 8.0, 0.0], [8.0, 900.0, 0.0], [0.0, 0.0, 12.0]])
SHARP = np.array([[100.0, 60.0, 55.0], [60.0, 100.0, 55.0], [55.0, 55.0, 62.0]])


def respond(
    rows: list[tuple[np.ndarray, float, float, float, float, bool, float, float, float]],
) -> PanelResponse:
    """Panels from (D*, Sx, Sy, length x, length y, clamped, pressure, force, side)."""
    columns = [np.array(column) for column in zip(*rows, strict=True)]
    return panel_response(*columns)


MIXED = [
    (500 * ISOTROPIC, 2e5, 2e5, 0.5, 0.5, True, 1e3, 100.0, 0.1),
    (500 * ISOTROPIC, 2e5, 2e5, 0.5, 3.0, False, 1e3, np.nan, np.nan),
    (COUPLED, 1e5, 3e5, 2.2, 0.5, True, 1e3, 100.0, 0.1),
    (SHARP, 5e6, 5e6, 0.4, 0.4, False, 1e3, 100.0, 0.05),
    (COUPLED, 1e5, 3e5, 0.6, 0.5, True, 1e3, 100.0, 0.1),
    (SHARP, 5e6, 5e6, 0.4, 0.5, False, 1e3, np.nan, 0.05),
    (SLENDER, 4e7, 4e7, 1.3, 0.5, True, 1e3, 100.0, 0.1),
    (SLENDER[[1, 0, 2]][:, [1, 0, 2]], 4e7, 4e7, 0.5, 1.3, True, 1e3, 100.0, 0.1),
]


def test_many_panels_at_once_are_as_many_alone() -> None:
    together = respond(MIXED)
    for row, panel_row in enumerate(MIXED):
        alone = respond([panel_row])
        for name in PanelResponse.__slots__:
            assert getattr(together, name)[row] == pytest.approx(
                getattr(alone, name)[0], rel=1e-9, abs=1e-12, nan_ok=True
            )


def test_pieces_that_fit_in_memory_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = respond(MIXED * 3)
    monkeypatch.setattr(panel, "CHUNK_NUMBERS", 5_000)
    pieces = respond(MIXED * 3)
    for name in PanelResponse.__slots__:
        assert getattr(pieces, name) == pytest.approx(getattr(whole, name), rel=1e-9, abs=1e-12, nan_ok=True)


def test_a_panel_without_a_foot_has_no_such_deflection() -> None:
    found = respond(MIXED)
    assert np.flatnonzero(np.isnan(found.patch_deflection_m)).tolist() == [1, 5]
    assert np.isfinite(found.deflection_m).all()


@pytest.mark.parametrize("lost", [(0 * ISOTROPIC, 2e5, 2e5), (ISOTROPIC, 0.0, 2e5), (ISOTROPIC, 2e5, 0.0)])
def test_a_panel_that_carries_nothing_is_nan_and_disturbs_no_neighbour(
    lost: tuple[np.ndarray, float, float],
) -> None:
    found = respond([(*lost, 0.5, 0.5, True, 1e3, 100.0, 0.1), MIXED[0]])
    assert np.isnan(found.deflection_m).tolist() == [True, False]
    assert np.isnan(found.curvature_per_m[0]).all()
    assert np.isnan(found.edge_shear_n_per_m[0]).all()
    assert found.deflection_m[1] == pytest.approx(respond([MIXED[0]]).deflection_m[0], rel=1e-12)


def test_no_panels_give_no_figures() -> None:
    empty = np.zeros(0)
    found = panel_response(
        np.zeros((0, 3, 3)), empty, empty, empty, empty, empty.astype(bool), empty, empty, empty
    )
    assert found.deflection_m.shape == (0,)
    assert found.curvature_per_m.shape == (0, len(PLACES), 3)


def test_pressure_from_the_mould_side_stretches_the_bag_side_in_the_middle() -> None:
    """And, held at the edges, the mould side there; a negative pressure does the opposite."""
    found = respond([MIXED[0], (*MIXED[0][:6], -1e3, -100.0, 0.1)])
    assert found.deflection_m[0] > 0 > found.deflection_m[1]
    assert found.patch_deflection_m[0] > 0 > found.patch_deflection_m[1]
    centre, x_low, x_high, y_low, y_high = found.curvature_per_m[0]
    assert centre[0] > 0
    assert centre[1] > 0
    assert x_low[0] == x_high[0] < 0
    assert y_low[1] == y_high[1] < 0
    assert (found.edge_shear_n_per_m > 0).all()


def test_edge_shear_and_curvature_of_a_long_panel_are_a_beams() -> None:
    """Clamped strip along y: Q = q L/2, M = q L²/12 at the edges and q L²/24 in the middle, κ = M/D."""
    found = respond([(500 * ISOTROPIC, 1e6, 1e6, 4.0, 0.5, True, 2e3, np.nan, 0.1)])
    assert found.edge_shear_n_per_m[0, 1] == pytest.approx(2e3 * 0.5 / 2, rel=0.02)
    assert found.curvature_per_m[0, 3] == pytest.approx([0, -2e3 * 0.5**2 / 12 / 500, 0], rel=0.01)
    assert found.curvature_per_m[0, 0, 1] == pytest.approx(2e3 * 0.5**2 / 24 / 500, rel=0.01)


def finely(
    row: tuple[np.ndarray, float, float, float, float, bool, float, float, float], counts: tuple[int, int]
) -> Solution:
    d, s_x, s_y, x, y, clamped, *loads = row
    numbers = (np.array([number]) for number in (s_x, s_y, x, y, *loads))
    with_patch = bool(np.isfinite(loads[1]))
    return solve(Plates(d[None], *numbers), Basis(*counts, clamped, full=True), with_patch)


@pytest.mark.parametrize("row", MIXED, ids=range(len(MIXED)))
def test_deflections_are_within_the_stated_bound_of_a_much_finer_solution(row) -> None:  # type: ignore[no-untyped-def]
    counts = (26, 14) if row[3] > row[4] else (14, 26)
    if row[0] is SHARP:
        counts = (24, 24)
    panel_found, fine = respond([row]), finely(row, counts)
    assert panel_found.deflection_m == pytest.approx(fine.deflection_m, rel=0.005)
    assert panel_found.patch_deflection_m == pytest.approx(fine.patch_deflection_m, rel=0.005, nan_ok=True)


@pytest.mark.parametrize("name", ["deflection_m", "patch_deflection_m"])
def test_sharp_corners_are_closer_than_the_finest_solution_taken(name: str) -> None:
    """Extrapolated from 8 and 12 functions a side the deflection is nearer to the limit than 12 are."""
    row = MIXED[3]
    plain = [float(getattr(finely(row, (count, count)), name)[0]) for count in (8, 12, 18)]
    limit = plain[2] + (plain[2] - plain[1]) ** 2 / (2 * plain[1] - plain[0] - plain[2])
    assert abs(getattr(respond([row]), name)[0] - limit) < 0.7 * abs(plain[1] - limit)


def test_edge_moments_without_coupling_come_from_the_other_axis_too() -> None:
    """Exchanging the axes of a coupled panel exchanges what its edges show."""
    one, other = (
        respond([MIXED[2]]),
        respond([(COUPLED[[1, 0, 2]][:, [1, 0, 2]], 3e5, 1e5, 0.5, 2.2, *MIXED[2][5:])]),
    )
    assert other.curvature_per_m[0, 3] == pytest.approx(one.curvature_per_m[0, 1][[1, 0, 2]], rel=1e-6)
    assert other.edge_shear_n_per_m[0, 0] == pytest.approx(one.edge_shear_n_per_m[0, 1], rel=1e-6)


@pytest.mark.parametrize(
    ("row", "basis"),
    [
        ((500 * ISOTROPIC, 2e5, 2e5, 0.5, 0.5, False, 1e3, np.nan, 0.1), Basis(8, 8, False)),
        ((500 * ISOTROPIC, 2e5, 2e5, 0.5, 0.5, True, 1e3, np.nan, 0.1), Basis(8, 8, True)),
        ((SHARP, 2e5, 2e5, 0.5, 0.5, True, 1e3, np.nan, 0.1), Basis(8, 8, True, full=True)),
        ((COUPLED, 2e5, 2e5, 0.5, 0.5, False, 1e3, np.nan, 0.1), Basis(8, 8, False)),
        ((500 * ISOTROPIC, 2e5, 2e5, 1.0, 0.5, True, 1e3, 100.0, 0.1), Basis(12, 6, True)),
        ((500 * ISOTROPIC, 2e5, 2e5, 0.5, 1.2, False, 1e3, 100.0, 0.1), Basis(8, 14, False)),
        ((500 * ISOTROPIC, 2e5, 2e5, 2.75, 0.5, False, 1e3, np.nan, 0.1), Basis(18, 6, False)),
        ((500 * ISOTROPIC, 2e5, 2e5, 2.4, 0.5, True, 1e3, np.nan, 0.1), Basis(18, 6, True)),
        ((500 * ISOTROPIC, 2e5, 2e5, 1.2, 0.5, True, 1e3, np.nan, 0.1), Basis(12, 6, True)),
        ((STIFFER, 2e5, 2e5, 0.5375, 0.5, True, 1e3, 100.0, 0.1), Basis(12, 6, True)),
    ],
)
def test_a_panel_is_solved_with_the_functions_that_its_shape_asks_for(row, basis: Basis) -> None:  # type: ignore[no-untyped-def]
    """To the last digits, at its full length and without going on to a limit."""
    d, s_x, s_y, x, y, _, *loads = row
    numbers = (np.array([number]) for number in (s_x, s_y, x, y, *loads))
    plain = solve(Plates(d[None], *numbers), basis, bool(np.isfinite(loads[1])))
    assert respond([row]).deflection_m == pytest.approx(plain.deflection_m, rel=1e-12)
    assert respond([row]).patch_deflection_m == pytest.approx(
        plain.patch_deflection_m, rel=1e-12, nan_ok=True
    )


@pytest.mark.parametrize("clamped", [True, False])
def test_a_foot_does_not_feel_how_much_longer_a_long_panel_is(clamped: bool) -> None:
    lengths = (1.9, 2.2, 2.9)
    found = respond(
        [(500 * ISOTROPIC, 2e5, 2e5, length, 0.5, clamped, 1e3, 100.0, 0.1) for length in lengths]
    )
    assert found.patch_deflection_m == pytest.approx(np.full(3, found.patch_deflection_m[0]), rel=1e-9)
    assert found.deflection_m[0] != pytest.approx(found.deflection_m[1], rel=1e-6)
