"""An independent plate: the same first-order theory by finite elements of high order (scikit-fem)."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import bmat
from skfem import Basis, BilinearForm, ElementQuadP, LinearForm, MeshQuad, condense, solve
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


def element_plate(
    d: Values,
    shear: tuple[float, float],
    sides: tuple[float, float],
    clamped: bool,
    patch: float,
    order: int = 4,
) -> ElementPlate:
    """Solve by elements whose lines run along the edges of the patch and gather towards the plate's edges."""
    mesh = MeshQuad.init_tensor(*(_lines(side, patch) for side in sides))
    basis = Basis(mesh, ElementQuadP(order), intorder=2 * order)
    count = basis.N
    matrix = _stiffness(basis, d, shear)
    loads = np.zeros((2, 3 * count))
    loads[0, :count] = LinearForm(lambda v, _: v).assemble(basis)
    loads[1, :count] = LinearForm(
        lambda v, w: v * (np.abs(w.x) <= patch / 2).all(axis=0) / patch**2
    ).assemble(basis)
    fixed = _fixed(basis, clamped)
    fields = [solve(*condense(matrix, load, D=fixed)) for load in loads]
    middle = basis.probes(np.zeros((2, 1)))
    edges = np.array([[sides[0] / 2, 0.0], [0.0, sides[1] / 2]]).T
    return ElementPlate(
        float((middle @ fields[0][:count])[0]),
        float((middle @ fields[1][:count])[0]),
        np.stack([_curvature(basis, fields[0], point) for point in (np.zeros(2), *edges.T)]),
        _shear(basis, fields[0], shear, edges),
    )


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


def _shear(basis: Basis, field: Values, shear: tuple[float, float], edges: Values) -> tuple[float, float]:
    """Qx in the middle of the x edge and Qy in that of the y edge, on the elements there."""
    count = basis.N
    found = []
    for axis in (0, 1):
        inside = edges[:, [axis]] * (1 - 1e-9)
        step = np.zeros((2, 1))
        step[axis] = 1e-5 * edges[axis, axis]
        near, far = basis.probes(inside), basis.probes(inside - step)
        slope = ((near - far) @ field[:count])[0] / step[axis, 0]
        turn = (near @ field[(1 + axis) * count : (2 + axis) * count])[0]
        found.append(abs(float(shear[axis] * (slope + turn))))
    return found[0], found[1]


def _curvature(basis: Basis, field: Values, point: Values) -> Values:
    """φx,x, φy,y and φx,y + φy,x at a point, by differences within the plate."""
    count, reach = basis.N, np.abs(basis.mesh.p).max(axis=1)
    turns = field[count : 2 * count], field[2 * count :]
    slopes = np.zeros((2, 2))
    for axis in (0, 1):
        step = 1e-4 * reach[axis] * np.eye(2)[axis]
        inner = np.clip(point, -(1 - 1e-9) * reach, (1 - 1e-9) * reach)
        ahead, behind = np.clip([inner + step, inner - step], -(1 - 1e-9) * reach, (1 - 1e-9) * reach)
        change = basis.probes(ahead[:, None]) - basis.probes(behind[:, None])
        slopes[:, axis] = [(change @ turn)[0] / (ahead - behind)[axis] for turn in turns]
    return np.array([slopes[0, 0], slopes[1, 1], slopes[0, 1] + slopes[1, 0]])
