"""The functions that a plate's deflection and rotations are built of, and their integrals, computed once.

Everything is on the square −1 … 1 by −1 … 1. A plate that is the same everywhere, under a load that looks
the same from both ends, deflects point-symmetrically: w(−x, −y) = w(x, y), and its rotations are odd. So w
needs only products of two even or of two odd functions, a rotation only products of an even and an odd one.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations_with_replacement, product

import numpy as np
from numpy.polynomial import legendre

from recipe_track.mechanics.arrays import BoolArray, FloatArray, IntArray

W, PHI_X, PHI_Y = 0, 1, 2
Part = tuple[int, int]
"""A field and what it is differentiated by: 0 nothing, 1 x, 2 y."""

STRAINS: tuple[tuple[Part, ...], ...] = (
    ((PHI_X, 1),),
    ((PHI_Y, 2),),
    ((PHI_X, 2), (PHI_Y, 1)),
    ((W, 1), (PHI_X, 0)),
    ((W, 2), (PHI_Y, 0)),
)
"""κx, κy, κxy, γx, γy of a first-order plate as sums of parts."""


@dataclass(frozen=True, slots=True)
class Functions:
    """Products of a polynomial along x and one along y, Legendre coefficients (function, degree) each."""

    field: IntArray
    along_x: FloatArray
    along_y: FloatArray


@dataclass(frozen=True, slots=True)
class Tables:
    """Integrals for one kind of plate with N unknowns, over the square −1 … 1.

    stiffness (term, N, N), probes (term, 4, N) and lifts (term, L, N) hold one layer per term of the energy,
    see `terms`; load (N,) and probe_load (4,) are integrals of the deflection. At the centre, centre (N,) is
    the deflection and curvature (4, N) its parts φx,x φy,y φx,y φy,x; twist (4, N) is φx,y φy,x in the middle
    of the x edge, then in that of the y edge. `lifting` are the functions that `lifts` is of.
    """

    free: Functions
    stiffness: FloatArray
    load: FloatArray
    centre: FloatArray
    curvature: FloatArray
    twist: FloatArray
    probes: FloatArray
    probe_load: FloatArray
    lifts: FloatArray
    lifting: Functions


def terms() -> Iterator[tuple[int, int, Part, Part]]:
    """Every term of the energy: row and column of the plate's 5 × 5 stiffness, and the parts multiplied.

    References
    ----------
    J. N. Reddy, Mechanics of Laminated Composite Plates and Shells, 2nd ed., 2004, first-order theory
    (from memory); no stiffness couples the two transverse shears.
    """
    for row, column in ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2), (3, 3), (4, 4)):
        if row == column:
            pairs: Iterable[tuple[Part, Part]] = combinations_with_replacement(STRAINS[row], 2)
        else:
            pairs = product(STRAINS[row], STRAINS[column])
        for first, second in pairs:
            yield row, column, first, second


@dataclass(frozen=True, slots=True)
class Basis:
    """How finely a plate is solved: functions along each side, its edges, and which products are taken.

    `full` takes all products; otherwise those of an ellipse of degrees, a third fewer, which is as good
    unless bending and twist are strongly coupled.
    """

    count_x: int
    count_y: int
    clamped: bool
    full: bool = False


@lru_cache(maxsize=64)
def tables(basis: Basis) -> Tables:
    """Integrals of a plate with the given functions, clamped or hard simply supported."""
    free = _free_functions(basis)
    probes = _probes(basis.count_x, basis.count_y)
    lifts = _lifts(basis.count_x, basis.count_y, basis.clamped)
    curvature = [at(free, part, 0, 0) for part in ((PHI_X, 1), (PHI_Y, 2), (PHI_X, 2), (PHI_Y, 1))]
    return Tables(
        free=free,
        stiffness=_coupling(free, free),
        load=integral(free),
        centre=at(free, (W, 0), 0, 0),
        curvature=np.stack(curvature),
        twist=np.stack(
            [at(free, part, *edge) for edge in ((1, 0), (0, 1)) for part in ((PHI_X, 2), (PHI_Y, 1))]
        ),
        probes=_coupling(probes, free),
        probe_load=integral(probes),
        lifts=_coupling(lifts, free),
        lifting=lifts,
    )


def bubbles(count: int) -> FloatArray:
    """Integrals of Legendre polynomials, degree 2 to count + 1: zero at both ends, slopes orthonormal."""
    rows = np.zeros((count, count + 2))
    for row, degree in enumerate(range(2, count + 2)):
        rows[row, [degree, degree - 2]] = np.array([1.0, -1.0]) / np.sqrt(4 * degree - 2)
    return rows


def values(family: FloatArray, points: FloatArray) -> FloatArray:
    """Each polynomial of a family at each point. (polynomial, point)"""
    return np.asarray(family @ legendre.legvander(points, family.shape[-1] - 1).T, dtype=np.float64)


def slopes(family: FloatArray) -> FloatArray:
    """The derivative of each polynomial of a family."""
    return np.asarray(legendre.legder(family, axis=1), dtype=np.float64)


@lru_cache(maxsize=32)
def gauss(count: int) -> tuple[FloatArray, FloatArray]:
    """Points and weights that integrate polynomials up to degree 2 count − 1 over −1 … 1."""
    points, weights = legendre.leggauss(count)
    return np.asarray(points, dtype=np.float64), np.asarray(weights, dtype=np.float64)


def parity(family: FloatArray) -> IntArray:
    """0 for the even polynomials of a family, 1 for the odd ones."""
    return np.asarray(np.argmax(family != 0, axis=-1) % 2)


def _free_ends(count: int, clamped: bool) -> FloatArray:
    """The family of a rotation about an edge, across that edge: its ends are free on a support."""
    return bubbles(count) if clamped else np.diag(np.sqrt(np.arange(count + 1) + 0.5))


def _free_functions(basis: Basis) -> Functions:
    x, y = bubbles(basis.count_x), bubbles(basis.count_y)
    ends_x, ends_y = (_free_ends(count, basis.clamped) for count in (basis.count_x, basis.count_y))
    return joined(
        products(W, x, y, _kept(x, y, 0, basis.full)),
        products(PHI_X, ends_x, y, _kept(ends_x, y, 1, basis.full)),
        products(PHI_Y, x, ends_y, _kept(x, ends_y, 1, basis.full)),
    )


def _probes(count_x: int, count_y: int) -> Functions:
    """Functions whose virtual work is an edge quantity: Qx and Mx at the x edges, Qy and My at the y edges.

    Each is 1 or x across the plate and, along the edge, the polynomial that picks the middle value out of
    every bubble. Not being zero on the edge it leaves a residual, the work of the edge's reaction, which is
    far more accurate than a derivative of the solution there.
    """
    along_x, along_y = sifter(bubbles(count_x)), sifter(bubbles(count_y))
    one, line = np.array([[1.0]]), np.array([[0.0, 1.0]])
    return joined(
        products(W, one, along_y),
        products(PHI_X, line, along_y),
        products(W, along_x, one),
        products(PHI_Y, along_x, line),
    )


def _lifts(count_x: int, count_y: int, clamped: bool) -> Functions:
    """Functions that carry given values along the edges: of w, of φx, of φy; x edges before y edges."""
    x, y = bubbles(count_x), bubbles(count_y)
    one = np.array([[1.0]])
    odd_x, odd_y = x[parity(x) == 1], y[parity(y) == 1]
    none = np.zeros((0, 1))
    return joined(
        products(W, one, y[parity(y) == 0]),
        products(W, x[parity(x) == 0], one),
        products(PHI_X, one, odd_y if clamped else none),
        products(PHI_X, odd_x, one),
        products(PHI_Y, one, odd_y),
        products(PHI_Y, odd_x if clamped else none, one),
    )


def sifter(family: FloatArray) -> FloatArray:
    """The polynomial g with ∫ g f = f(0) over −1 … 1 for every f of a family.

    Parameters
    ----------
    family : (n, degree)
        Coefficients of Legendre polynomials.

    Returns
    -------
    (1, degree)
        Coefficients of g, itself of the family's span: only there is it one polynomial.
    """
    points, weights = gauss(family.shape[-1] + 1)
    sampled = values(family, points)
    at_middle = values(family, np.zeros(1))[:, 0]
    return np.asarray(np.linalg.solve(sampled * weights @ sampled.T, at_middle) @ family)[None]


def products(field: int, x: FloatArray, y: FloatArray, kept: BoolArray | None = None) -> Functions:
    """Products of two families, all or those kept."""
    rows, columns = np.nonzero(np.ones((len(x), len(y)), dtype=bool) if kept is None else kept)
    return Functions(np.full(len(rows), field), x[rows], y[columns])


def _kept(x: FloatArray, y: FloatArray, odd: int, full: bool) -> BoolArray:
    """Which products of two families are even (odd = 0) or odd, and within the ellipse of degrees."""
    alike = (parity(x)[:, None] + parity(y)) % 2 == odd
    within = _height(x)[:, None] ** 2 + _height(y) ** 2 <= 1 + 1e-9
    return np.asarray(alike & (within | full))


def _height(family: FloatArray) -> FloatArray:
    """How far up its family a polynomial stands: 0 up to a parabola, 1 for the highest degree."""
    degree = family.shape[-1] - 1 - np.argmax(family[:, ::-1] != 0, axis=-1)
    return np.asarray(np.maximum(degree - 2, 0) / (degree.max() - 2))


def joined(*groups: Functions) -> Functions:
    def padded(families: list[FloatArray]) -> FloatArray:
        width = max(family.shape[-1] for family in families)
        return np.concatenate(
            [np.pad(family, ((0, 0), (0, width - family.shape[-1]))) for family in families]
        )

    return Functions(
        np.concatenate([group.field for group in groups]),
        padded([group.along_x for group in groups]),
        padded([group.along_y for group in groups]),
    )


def _coupling(rows: Functions, columns: Functions) -> FloatArray:
    """Integral of every term of the energy between two sets of functions. (term, row, column)"""
    found, layers = grams(rows, columns), []
    for _, _, first, second in terms():
        layer = coupled(rows, columns, first, second, found)
        layers.append(layer if first == second else layer + coupled(rows, columns, second, first, found))
    return np.stack(layers)


_Gram = dict[tuple[bool, bool], FloatArray]


def coupled(
    rows: Functions, columns: Functions, first: Part, second: Part, found: tuple[_Gram, _Gram]
) -> FloatArray:
    """Integrals over the square of one part of some functions times another of others. (row, column)"""
    (field, by), (other, other_by) = first, second
    mine = (rows.field == field)[:, None] & (columns.field == other)
    return np.asarray(mine * found[0][by == 1, other_by == 1] * found[1][by == 2, other_by == 2])


def grams(rows: Functions, columns: Functions) -> tuple[_Gram, _Gram]:
    """Integrals along x and along y of two sets of functions; keys tell which of both is differentiated."""
    widths = (f.shape[-1] for f in (rows.along_x, rows.along_y, columns.along_x, columns.along_y))
    points, weights = gauss(max(widths) + 1)
    return _gram(rows.along_x, columns.along_x, points, weights), _gram(
        rows.along_y, columns.along_y, points, weights
    )


def _gram(rows: FloatArray, columns: FloatArray, points: FloatArray, weights: FloatArray) -> _Gram:
    one, other = (
        {False: values(family, points), True: values(slopes(family), points)} for family in (rows, columns)
    )
    return {(a, b): one[a] * weights @ other[b].T for a in one for b in other}


def _sampled(functions: Functions, part: Part, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Factors along x and y of one part of the functions at points; zero for functions of other fields."""
    field, by = part
    x = slopes(functions.along_x) if by == 1 else functions.along_x
    y = slopes(functions.along_y) if by == 2 else functions.along_y
    mine = (functions.field == field)[:, None]
    return np.where(mine, values(x, points), 0.0), values(y, points)


def at(functions: Functions, part: Part, x: float, y: float) -> FloatArray:
    """One part of every function at one point of the square."""
    along_x, along_y = _sampled(functions, part, np.array([x, y]))
    return along_x[:, 0] * along_y[:, 1]


def integral(functions: Functions) -> FloatArray:
    """Integral of the deflection of each function over the square."""
    return np.where(functions.field == W, 4 * functions.along_x[:, 0] * functions.along_y[:, 0], 0.0)
