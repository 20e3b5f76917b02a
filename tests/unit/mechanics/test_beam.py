"""Stiffeners as beams: which ply governs, both ways of bending, matters of sign."""

import numpy as np
import pytest

from recipe_track.mechanics.beam import (
    Beam,
    beam_deflection,
    beam_frequency,
    beam_strain_use,
    greatest_moment,
    web_shear_use,
)

NAN = np.nan
ALONG = np.array([[1.0, -0.3, 0.0]])


def test_a_ply_far_from_the_axis_governs_and_is_pressed_as_well_as_pulled() -> None:
    found = beam_strain_use(
        0.1,
        np.array([[-0.01, 0.02], [-0.03, -0.01]]),
        np.repeat(ALONG, 2, axis=0),
        np.zeros(2),
        np.zeros(2, dtype=bool),
        np.array([[0.004, 0.003, NAN, NAN]] * 2),
    )
    assert found.use == pytest.approx(0.003 / 0.003)
    assert (found.ply, found.face, found.mode) == (1, 0, 1)


def test_a_pull_is_felt_across_by_a_ply_that_lies_across() -> None:
    across = beam_strain_use(
        0.1,
        np.array([[0.0, 0.01]]),
        ALONG,
        np.array([np.pi / 2]),
        np.zeros(1, bool),
        np.array([[NAN, NAN, 0.002, NAN]]),
    )
    assert across.use == pytest.approx(0.001 / 0.002)
    along = beam_strain_use(
        0.1,
        np.array([[0.0, 0.01]]),
        ALONG,
        np.array([np.pi / 2]),
        np.zeros(1, bool),
        np.array([[0.001, 0.001, NAN, NAN]]),
    )
    assert along.use == pytest.approx(0.3 * 0.001 / 0.001)


def test_a_web_at_45_degrees_is_pulled_and_pressed_along_its_fibres() -> None:
    """Shear γ is ±γ/2 along ±45°; it is the lower limit that counts, whichever way the flow runs."""
    limits = np.array([[0.004, 0.002, NAN, NAN]] * 2)
    found = web_shear_use(
        2e4, np.diag([0.0, 0.0, 1e-7]), np.radians([45.0, -45.0]), np.zeros(2, dtype=bool), limits
    )
    assert found.use == pytest.approx(0.001 / 0.002)
    assert (found.ply, found.face, found.mode) == (0, 0, 1)


def test_a_mat_counts_with_its_principal_strains() -> None:
    found = web_shear_use(
        2e4,
        np.diag([0.0, 0.0, 1e-7]),
        np.zeros(1),
        np.ones(1, dtype=bool),
        np.array([[0.01, 0.004, 1e-9, 1e-9]]),
    )
    assert found.use == pytest.approx(0.001 / 0.004)


@pytest.mark.parametrize("count", [0, 1])
def test_plies_without_limits_are_not_checked(count: int) -> None:
    found = beam_strain_use(
        0.1,
        np.zeros((count, 2)),
        np.zeros((count, 3)),
        np.zeros(count),
        np.zeros(count, dtype=bool),
        np.full((count, 4), NAN),
    )
    assert np.isnan(found.use)
    assert (found.ply, found.face, found.mode) == (-1, -1, -1)


def test_ends_that_hold_make_a_beam_stiffer_and_faster() -> None:
    held, free = (Beam(1e3, 2.0, 5e4, 1e7, clamped) for clamped in (True, False))
    assert greatest_moment(free) == pytest.approx(1.5 * greatest_moment(held))
    assert beam_deflection(free)[0] == pytest.approx(5 * beam_deflection(held)[0])
    assert beam_deflection(free)[1] == beam_deflection(held)[1]
    assert beam_frequency(held, 5.0) > beam_frequency(free, 5.0)
