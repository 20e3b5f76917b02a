"""Functions and tables: what the families are, and integrals to the last digit."""

import numpy as np
import pytest
from numpy.polynomial import legendre
from scipy.integrate import dblquad

from recipe_track.mechanics.ritz import PHI_X, PHI_Y, Basis, W, bubbles, parity, sifter, tables, terms


def test_bubbles_vanish_at_both_ends_and_have_orthonormal_slopes() -> None:
    family = bubbles(7)
    assert legendre.legval(1.0, family.T) == pytest.approx(np.zeros(7), abs=1e-14)
    assert legendre.legval(-1.0, family.T) == pytest.approx(np.zeros(7), abs=1e-14)
    points, weights = legendre.leggauss(12)
    slopes = legendre.legval(points, legendre.legder(family, axis=1).T)
    assert slopes * weights @ slopes.T == pytest.approx(np.eye(7), abs=1e-13)
    assert parity(family).tolist() == [0, 1, 0, 1, 0, 1, 0]


@pytest.mark.parametrize("clamped", [True, False])
def test_fields_keep_the_edges_and_the_symmetry_of_a_half_turn(clamped: bool) -> None:
    free = tables(Basis(6, 4, clamped)).free
    rng = np.random.default_rng(1)
    x, y = rng.uniform(-1, 1, (2, 5))

    def at(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return legendre.legval(x, free.along_x.T) * legendre.legval(y, free.along_y.T)

    sign = np.where(free.field == W, 1.0, -1.0)[:, None]
    assert at(-x, -y) == pytest.approx(sign * at(x, y), abs=1e-13)
    on_x, on_y = np.abs(at(np.ones(5), y)).max(axis=1), np.abs(at(x, np.ones(5))).max(axis=1)
    held_x = np.ones(len(sign), bool) if clamped else free.field != PHI_X
    held_y = np.ones(len(sign), bool) if clamped else free.field != PHI_Y
    assert on_x[held_x].max() < 1e-13
    assert on_y[held_y].max() < 1e-13
    if not clamped:
        assert on_x[free.field == PHI_X].min() > 0.01
        assert on_y[free.field == PHI_Y].min() > 0.01


def test_the_ellipse_takes_a_third_fewer_products_and_all_of_the_low_ones() -> None:
    few, all_of_them = (tables(Basis(8, 8, True, full)).free for full in (False, True))
    assert (len(few.field), len(all_of_them.field)) == (69, 96)

    def degrees(functions) -> set[tuple[int, int, int]]:  # type: ignore[no-untyped-def]
        rows = zip(functions.field, functions.along_x, functions.along_y, strict=True)
        return {(int(field), int(np.flatnonzero(x)[-1]), int(np.flatnonzero(y)[-1])) for field, x, y in rows}

    left_out = degrees(all_of_them) - degrees(few)
    assert degrees(few) < degrees(all_of_them)
    assert min((x - 2) ** 2 + (y - 2) ** 2 for _, x, y in left_out) > 7**2
    assert max((x - 2) ** 2 + (y - 2) ** 2 for _, x, y in degrees(few)) <= 7**2


@pytest.mark.parametrize("clamped", [True, False])
def test_every_integral_is_exact(clamped: bool) -> None:
    """The energy of random fields, its terms integrated by scipy from the strains themselves."""
    found = tables(Basis(4, 4, clamped, full=True))
    factor = np.random.default_rng(4).normal(size=len(found.load))

    def part(field: int, by: int, x: float, y: float) -> float:
        along_x = legendre.legder(found.free.along_x, axis=1) if by == 1 else found.free.along_x
        along_y = legendre.legder(found.free.along_y, axis=1) if by == 2 else found.free.along_y
        values = legendre.legval(x, along_x.T) * legendre.legval(y, along_y.T)
        return float((values * factor)[found.free.field == field].sum())

    for number, (row, column, first, second) in enumerate(terms()):
        twice = 1 if row == column and first == second else 2
        exact = dblquad(
            lambda y, x, a=first, b=second: part(*a, x, y) * part(*b, x, y), -1, 1, -1, 1, epsrel=1e-6
        )[0]
        assert factor @ found.stiffness[number] @ factor == pytest.approx(twice * exact, rel=1e-5, abs=1e-8)
    load = dblquad(lambda y, x: part(W, 0, x, y), -1, 1, -1, 1, epsrel=1e-6)[0]
    assert factor @ found.load == pytest.approx(load, rel=1e-6)
    assert factor @ found.centre == pytest.approx(part(W, 0, 0, 0))
    pieces = [part(PHI_X, 1, 0, 0), part(PHI_Y, 2, 0, 0), part(PHI_X, 2, 0, 0), part(PHI_Y, 1, 0, 0)]
    assert found.curvature @ factor == pytest.approx(pieces)
    edges = [part(field, by, x, y) for x, y in ((1, 0), (0, 1)) for field, by in ((PHI_X, 2), (PHI_Y, 1))]
    assert found.twist @ factor == pytest.approx(edges, abs=1e-12)


def test_terms_are_the_energy_of_a_first_order_plate() -> None:
    """Random strains: the sum over the terms is the quadratic form of the whole 5 × 5 stiffness."""
    rng = np.random.default_rng(8)
    stiffness = np.zeros((5, 5))
    root = rng.normal(size=(3, 3))
    stiffness[:3, :3], stiffness[3, 3], stiffness[4, 4] = root @ root.T, 2.0, 3.0
    parts = {(field, by): float(rng.normal()) for field in (W, PHI_X, PHI_Y) for by in (0, 1, 2)}
    kappa = [parts[1, 1], parts[2, 2], parts[1, 2] + parts[2, 1]]
    strain = np.array([*kappa, parts[0, 1] + parts[1, 0], parts[0, 2] + parts[2, 0]])
    summed = sum(
        stiffness[row, column]
        * parts[first]
        * parts[second]
        * (1 if row == column and first == second else 2)
        for row, column, first, second in terms()
    )
    assert summed == pytest.approx(strain @ stiffness @ strain)


def test_the_sifter_picks_the_middle_value_out_of_every_function_of_its_family() -> None:
    family = bubbles(6)
    points, weights = legendre.leggauss(20)
    (picker,) = sifter(family)
    picked = legendre.legval(points, family.T) @ (weights * legendre.legval(points, picker))
    assert picked == pytest.approx(legendre.legval(0.0, family.T), abs=1e-12)
