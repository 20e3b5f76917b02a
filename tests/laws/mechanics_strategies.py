"""Random plies, stacks and panels within what small craft are built of."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from hypothesis import strategies as st

from recipe_track.mechanics.laminate import Stiffness, reduced_bending, stiffness
from recipe_track.mechanics.ply import reduced_stiffness, rotated_stiffness
from recipe_track.mechanics.shear import transverse_shear_stiffness

Values = npt.NDArray[np.float64]

_UNIT = st.floats(0.0, 1.0)


@dataclass(frozen=True)
class Stack:
    """Plies with stiffness Q in their own axes, angle in degrees, thickness, transverse shear moduli."""

    q: Values
    angle_deg: Values
    thickness: Values
    shear: Values

    def turned(self, by_deg: float) -> "Stack":
        return Stack(self.q, self.angle_deg + by_deg, self.thickness, self.shear)

    def mirrored(self) -> "Stack":
        return Stack(self.q, -self.angle_deg, self.thickness, self.shear)

    def reversed(self) -> "Stack":
        return self.ordered(np.arange(len(self.thickness))[::-1])

    def ordered(self, order: npt.NDArray[np.intp]) -> "Stack":
        return Stack(self.q[order], self.angle_deg[order], self.thickness[order], self.shear[order])

    def thicker(self, times: float) -> "Stack":
        return Stack(self.q, self.angle_deg, self.thickness * times, self.shear)

    def split(self, ply: int, into: int) -> "Stack":
        repeats = np.where(np.arange(len(self.thickness)) == ply, into, 1)
        whole = Stack(
            *(
                np.repeat(part, repeats, axis=0)
                for part in (self.q, self.angle_deg, self.thickness, self.shear)
            )
        )
        thickness = whole.thickness / np.repeat(repeats, repeats)
        return Stack(whole.q, whole.angle_deg, thickness, whole.shear)

    def joined(self, other: "Stack") -> "Stack":
        pairs = (
            (getattr(self, name), getattr(other, name)) for name in ("q", "angle_deg", "thickness", "shear")
        )
        return Stack(*(np.concatenate(pair) for pair in pairs))

    @property
    def q_bar(self) -> Values:
        return rotated_stiffness(self.q, np.radians(self.angle_deg))

    @property
    def height(self) -> float:
        return float(self.thickness.sum())

    def laminate(self) -> Stiffness:
        return stiffness(self.q_bar, self.thickness)

    def shear_stiffness(self, axis: int) -> float:
        return float(transverse_shear_stiffness(self.q_bar[:, axis, axis], self.shear, self.thickness))


@st.composite
def stacks(draw: st.DrawFn, most: int = 8, soft: bool = True) -> Stack:
    """One to `most` plies; some are soft and thick, as cores are."""
    count = draw(st.integers(1, most))
    numbers = np.array(
        draw(st.lists(st.tuples(_UNIT, _UNIT, _UNIT, _UNIT, _UNIT, _UNIT), min_size=count, max_size=count))
    )
    angle = np.array(
        draw(st.lists(st.sampled_from([0, 90, 45, -45, 30, -60, 17.5]), min_size=count, max_size=count)),
        float,
    )
    core = np.array(draw(st.lists(st.booleans(), min_size=count, max_size=count))) & soft & (count > 1)
    core[0] = False
    e2 = 4e9 + 8e9 * numbers[:, 0]
    e1 = e2 * (1 + 9 * numbers[:, 1])
    e1, e2 = (np.where(core, 5e7 + 1e8 * numbers[:, 0], value) for value in (e1, e2))
    shear = np.where(core, e2 * 0.4, 2e9 + 3e9 * numbers[:, 2])
    nu = 0.1 + 0.25 * numbers[:, 3]
    thickness = np.where(core, 5e-3 + 2e-2 * numbers[:, 4], 2e-4 + 2e-3 * numbers[:, 4])
    return Stack(reduced_stiffness(e1, e2, shear, nu), angle, thickness, shear)


@dataclass(frozen=True)
class Plate:
    """A panel of a random stack."""

    d: Values
    s_x: float
    s_y: float
    sides: tuple[float, float]


@st.composite
def plates(draw: st.DrawFn) -> Plate:
    stack = draw(stacks(6))
    sides = (draw(st.floats(0.25, 1.2)), draw(st.floats(0.25, 1.2)))
    laminate = stack.laminate()
    return Plate(reduced_bending(laminate), stack.shear_stiffness(0), stack.shear_stiffness(1), sides)
