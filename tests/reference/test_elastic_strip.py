"""Transverse shear stiffness against plane elasticity: a layered strip under a half sine, by finite elements.

Nothing of beam theory is in the elements. What the strip sinks beyond its bending is its shear, up to terms
of the order (thickness/length)².
"""

from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pytest
from skfem import (
    Basis,
    BilinearForm,
    ElementQuad2,
    ElementVector,
    FacetBasis,
    LinearForm,
    MeshQuad,
    condense,
    solve,
)
from skfem.helpers import sym_grad

from recipe_track.mechanics.laminate import stiffness, strip_stiffness
from recipe_track.mechanics.ply import reduced_stiffness
from recipe_track.mechanics.shear import transverse_shear_stiffness

Values = npt.NDArray[np.float64]


def sunk(young: Values, shear: Values, thickness: Values, length: float) -> float:
    """Mean deflection in the middle of half a strip, supported at x = 0, under a line load sin(πx/L)."""
    heights = np.concatenate([[0.0], np.cumsum(thickness)])
    lines = np.unique(np.concatenate([np.linspace(a, b, 5) for a, b in pairwise(heights)]))
    mesh = MeshQuad.init_tensor(np.linspace(0, length / 2, 41), lines)
    basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=4)

    def of(values: Values, z: Values) -> Values:
        return values[np.clip(np.searchsorted(heights, z, side="right") - 1, 0, len(values) - 1)]

    @BilinearForm
    def energy(u, v, w):  # type: ignore[no-untyped-def]
        a, b, z = sym_grad(u), sym_grad(v), w.x[1]
        return of(young, z) * (a[0, 0] * b[0, 0] + a[1, 1] * b[1, 1]) + 4 * of(shear, z) * a[0, 1] * b[0, 1]

    pressed = LinearForm(lambda v, w: v[1] * np.sin(np.pi * w.x[0] / length) / 2)
    faces = [
        FacetBasis(
            mesh,
            ElementVector(ElementQuad2()),
            facets=mesh.facets_satisfying(lambda x, at=at: np.isclose(x[1], at)),
        )
        for at in (0, heights[-1])
    ]
    load = sum(pressed.assemble(face) for face in faces)
    start = basis.get_dofs(lambda x: np.isclose(x[0], 0)).all(["u^2"])
    middle = basis.get_dofs(lambda x: np.isclose(x[0], length / 2))
    fixed = np.concatenate([start, middle.all(["u^1"])])
    field = solve(*condense(energy.assemble(basis), load, D=fixed))
    return float(field[middle.all(["u^2"])].mean())


@pytest.mark.parametrize(
    ("young", "shear", "thickness"),
    [
        ([12e9], [3e9], [0.010]),
        ([20e9, 80e6, 12e9], [4e9, 30e6, 3e9], [0.002, 0.016, 0.003]),
        ([60e9, 9e9, 120e6, 20e9], [4e9, 3e9, 60e6, 4e9], [0.001, 0.002, 0.012, 0.002]),
    ],
)
def test_a_strip_of_plane_elasticity_shears_as_much(
    young: list[float], shear: list[float], thickness: list[float]
) -> None:
    e, g, t = np.array(young), np.array(shear), np.array(thickness)
    length = 40 * float(t.sum())
    k = np.pi / length
    ei = float(strip_stiffness(stiffness(reduced_stiffness(e, e, g, np.zeros(len(e))), t))[2])
    beyond = sunk(e, g, t, length) - 1 / (k**4 * ei)
    assert 1 / (k**2 * beyond) == pytest.approx(float(transverse_shear_stiffness(e, g, t)), rel=0.02)
