"""Stacks for panels: their stiffness by the mechanics, their uses out of any field of curvatures written anew."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from recipe_track.mechanics.laminate import Stiffness, ply_bounds, reduced_bending, stiffness
from recipe_track.mechanics.ply import reduced_stiffness, rotated_stiffness
from recipe_track.mechanics.shear import peak_shear_flow, transverse_shear_stiffness

Values = npt.NDArray[np.float64]

GLASS = (38e9, 10e9, 3.5e9, 0.28)
CARBON = (130e9, 8e9, 4.5e9, 0.30)
FOAM = (60e6, 60e6, 23e6, 0.30)
LIMITS = np.array([0.012, 0.009, 0.004, 0.014])
"""Tension, compression, across, shear of every ply that is no core."""
STRENGTH = (0.9e6, 0.6e6)
"""Of every core along L and W; L lies at 30° to x."""
CORE_ANGLE = np.radians(30.0)


@dataclass(frozen=True)
class Stack:
    """Plies as (constants, thickness, angle, transverse shear modulus)."""

    name: str
    plies: tuple[tuple[tuple[float, float, float, float], float, float, float], ...]

    @property
    def thickness(self) -> Values:
        return np.array([ply[1] for ply in self.plies])

    @property
    def angle(self) -> Values:
        return np.radians([ply[2] for ply in self.plies])

    @property
    def is_core(self) -> npt.NDArray[np.bool_]:
        return np.array([ply[0] is FOAM for ply in self.plies])

    def q_bar(self) -> Values:
        constants = [reduced_stiffness(*(np.asarray(value) for value in ply[0])) for ply in self.plies]
        return rotated_stiffness(np.stack(constants), self.angle)

    def laminate(self) -> Stiffness:
        return stiffness(self.q_bar(), self.thickness)

    def stiffness(self) -> tuple[Values, float, float]:
        """D*, Sx, Sy."""
        q_bar, shear = self.q_bar(), np.array([ply[3] for ply in self.plies])
        s_x, s_y = (float(transverse_shear_stiffness(q_bar[:, i, i], shear, self.thickness)) for i in (0, 1))
        return reduced_bending(self.laminate()), s_x, s_y

    def peak_flow(self) -> Values:
        q_bar = self.q_bar()
        return np.stack([peak_shear_flow(q_bar[:, i, i], self.thickness) for i in (0, 1)], axis=-1)


def sandwich(core_m: float, core_shear: float, *angles: float) -> Stack:
    """Unlike skins of glass and of carbon at the given angles about a core."""
    outer = [(GLASS, 0.0008, angle, 3.5e9) for angle in angles]
    inner = [(CARBON, 0.0004, angle, 4.5e9) for angle in angles[::-1]]
    name = f"sandwich {core_shear / 1e6:.0f} MPa {angles}"
    return Stack(name, (*outer, (FOAM, core_m, 0.0, core_shear), *inner))


def strain_use_of(stack: Stack, curvature: Values) -> float:
    """Greatest strain use over places (place, 3) and both sides, tensor rotation ply by ply, face by face."""
    laminate = stack.laminate()
    whole = np.linalg.solve(laminate.a, -laminate.b @ curvature.T).T
    bounds, greatest = ply_bounds(stack.thickness), 0.0
    for n in np.flatnonzero(~stack.is_core):
        c, s = np.cos(stack.angle[n]), np.sin(stack.angle[n])
        turn = np.array([[c, s], [-s, c]])
        for z in bounds[n : n + 2]:
            x, y, xy = (whole + z * curvature).T
            tensor = turn @ np.moveaxis(np.array([[x, xy / 2], [xy / 2, y]]), 2, 0) @ turn.T
            along, across, shear = tensor[:, 0, 0], np.abs(tensor[:, 1, 1]), np.abs(2 * tensor[:, 0, 1])
            for sign in (1, -1):
                asked = np.stack([sign * along, -sign * along, across, shear], axis=-1)
                greatest = max(greatest, float((asked / LIMITS).max()))
    return greatest


def core_use_of(stack: Stack, shear: Values) -> float:
    """Greatest core shear use over places (place, 2); 0 without a core."""
    cores = np.flatnonzero(stack.is_core)
    if not len(cores):
        return 0.0
    stress = shear * stack.peak_flow()[cores[0]]
    c, s = np.cos(CORE_ANGLE), np.sin(CORE_ANGLE)
    along, across = c * stress[:, 0] + s * stress[:, 1], -s * stress[:, 0] + c * stress[:, 1]
    return float(np.hypot(along / STRENGTH[0], across / STRENGTH[1]).max())
