"""An independent plate: the same first-order theory by finite elements of high order (scikit-fem)."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import bmat, csr_matrix
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuadP, LinearForm, MeshQuad
from skfem.helpers import dot

Values = npt.NDArray[np.float64]


@dataclass(frozen=True)
class ElementPlate:
    """Under unit pressure the deflection and curvatures, and under a unit force the deflection. [m, 1/m]

    The curvatures are those at the centre, in the middle of the x edge and in that of the y edge, a row
    each; the shear is that of the pressure in the middle of both edges. [N/m]
    """

    deflection: float
    patch_deflection: float
    curvature: Values
    edge_shear: tuple[float, float]


@dataclass(frozen=True)
class ElementField:
    """Under one load: deflection at the centre [m], κx, κy, κxy (place, 3) [1/m], Qx, Qy (place, 2) [N/m]."""

    deflection: float
    curvature: Values
    shear: Values


def element_plate(
    d: Values,
    shear: tuple[float, float],
    sides: tuple[float, float],
    clamped: bool,
    patch: float,
    order: int = 4,
) -> ElementPlate:
    """Under both loads; at the centre and in the middle of two edges."""
    edges = np.array([[0.0, 0.0], [sides[0] / 2, 0.0], [0.0, sides[1] / 2]])
    pressed, patched = element_fields(d, shear, sides, clamped, patch, edges, order)
    return ElementPlate(
        pressed.deflection,
        patched.deflection,
        pressed.curvature,
        (abs(float(pressed.shear[1, 0])), abs(float(pressed.shear[2, 1]))),
    )


def element_fields(
    d: Values,
    shear: tuple[float, float],
    sides: tuple[float, float],
    clamped: bool,
    patch: float,
    places: Values,
    order: int = 4,
) -> tuple[ElementField, ElementField]:
    """Solve by elements whose lines run along the edges of the patch and gather towards the plate's edges.

    Fields of a unit pressure and of a unit force, at places (place, 2) in metres from the middle.
    """
    mesh = MeshQuad.init_tensor(*(_lines(side, patch) for side in sides))
    basis = Basis(mesh, ElementQuadP(order), intorder=2 * order)
    count = basis.N
    matrix = _stiffness(basis, d, shear)
    loads = np.zeros((2, 3 * count))
    loads[0, :count] = LinearForm(lambda v, _: v).assemble(basis)
    loads[1, :count] = LinearForm(
        lambda v, w: v * (np.abs(w.x) <= patch / 2).all(axis=0) / patch**2
    ).assemble(basis)
    free = np.setdiff1d(np.arange(3 * count), _fixed(basis, clamped))
    inner = matrix.tocsc()[free][:, free]
    solved = np.zeros((3 * count, 2))
    solved[free] = splu(inner).solve(loads[:, free].T)
    value, along_x, along_y = _sampled(basis, places, sides)
    middle = _sampled(basis, np.zeros((1, 2)), sides)[0]
    found = []
    for field in solved.T:
        w, turn_x, turn_y = field[:count], field[count : 2 * count], field[2 * count :]
        curvature = [along_x @ turn_x, along_y @ turn_y, along_y @ turn_x + along_x @ turn_y]
        forces = [shear[0] * (along_x @ w + value @ turn_x), shear[1] * (along_y @ w + value @ turn_y)]
        deflection = float((middle @ w)[0])
        found.append(ElementField(deflection, np.stack(curvature, axis=-1), np.stack(forces, axis=-1)))
    return found[0], found[1]


def _sampled(basis: Basis, places: Values, sides: tuple[float, float]) -> list[csr_matrix]:
    """Value and slopes of every function of the elements at places, those on the edge taken just inside."""
    reach = np.array(sides)[:, None] / 2 * (1 - 1e-9)
    inside = np.clip(places.T, -reach, reach)
    cells = basis.mesh.element_finder(mapping=basis.mapping)(*inside)
    local = basis.mapping.invF(inside[:, :, None], tind=cells)
    shapes = [basis.elem.gbasis(basis.mapping, local, n, tind=cells)[0] for n in range(basis.Nbfun)]
    rows = np.tile(np.arange(len(places)), basis.Nbfun)
    columns = np.concatenate([basis.element_dofs[n, cells] for n in range(basis.Nbfun)])
    parts = zip(*((np.asarray(shape)[:, 0], *shape.grad[:, :, 0]) for shape in shapes), strict=True)
    size = (len(places), basis.N)
    return [csr_matrix((np.concatenate(part), (rows, columns)), size) for part in parts]


def _lines(side: float, patch: float) -> Values:
    outer = side / 2 - patch / 2
    steps = patch / 2 + outer * np.array([0.25, 0.6, 0.85, 0.96, 0.99, 1.0])
    half = np.concatenate([[0.0, patch / 2], steps])
    return np.concatenate([-half[:0:-1], half])


def _stiffness(basis: Basis, d: Values, shear: tuple[float, float]):  # type: ignore[no-untyped-def]
    """The energy written out field by field; D as given, no use of any symmetry."""
    gradient = np.eye(2)

    def bending(first, second):  # type: ignore[no-untyped-def]
        def curvature(v, field):  # type: ignore[no-untyped-def]
            zero = 0 * v.grad[0]
            return [v.grad[0], zero, v.grad[1]] if field == 0 else [zero, v.grad[1], v.grad[0]]

        @BilinearForm
        def form(u, v, _):  # type: ignore[no-untyped-def]
            a, b = curvature(v, first), curvature(u, second)
            bent = sum(d[i, j] * a[i] * b[j] for i in range(3) for j in range(3))
            return bent + (shear[first] * u * v if first == second else 0)

        return form.assemble(basis)

    def sheared(field):  # type: ignore[no-untyped-def]
        return BilinearForm(
            lambda u, v, _: shear[field] * u * dot(gradient[field][:, None, None] + 0 * v.grad, v.grad)
        ).assemble(basis)

    deflected = BilinearForm(
        lambda u, v, _: shear[0] * u.grad[0] * v.grad[0] + shear[1] * u.grad[1] * v.grad[1]
    )
    coupled = [sheared(0), sheared(1)]
    return bmat(
        [
            [deflected.assemble(basis), coupled[0], coupled[1]],
            [coupled[0].T, bending(0, 0), bending(0, 1)],
            [coupled[1].T, bending(1, 0), bending(1, 1)],
        ],
        "csr",
    )


def _fixed(basis: Basis, clamped: bool) -> Values:
    """w everywhere on the edge; clamped both rotations too, supported only the one along the edge."""
    whole, count = basis.get_dofs().all(), basis.N
    if clamped:
        return np.concatenate([whole, whole + count, whole + 2 * count])
    reach = np.abs(basis.mesh.p).max(axis=1)
    x_edges, y_edges = (
        basis.get_dofs(lambda x, axis=axis: np.isclose(np.abs(x[axis]), reach[axis])).all() for axis in (0, 1)
    )
    return np.concatenate([whole, y_edges + count, x_edges + 2 * count])
