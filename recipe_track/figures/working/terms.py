"""The terms of a panel's one-term solutions: sides, stiffnesses, and what they sum to."""

from recipe_track.figures.loads import sides_mm
from recipe_track.figures.stack import Laminates
from recipe_track.figures.working.lines import Value
from recipe_track.mechanics.laminate import reduced_bending
from recipe_track.recipe.layup import Panel

EDGES = {"clamped": "simply-supported", "simply-supported": "clamped"}
Terms = tuple[Value, ...]


def sides_of(panel: Panel) -> Terms:
    """Sides a and b of a panel along the zone's x and y."""
    return tuple(Value(symbol, side, "mm") for symbol, side in zip("ab", sides_mm(panel), strict=True))


def bending_terms(panel: Panel, laminates: Laminates, mixed: float) -> tuple[Terms, Terms, float]:
    """Sides, D* and D11/a⁴ + mixed (D12 + 2 D66)/(ab)² + D22/b⁴ [N/mm³]."""
    d = reduced_bending(laminates.stiffness)[0] * 1e3
    a, b = sides_mm(panel)
    terms = (("D11", d[0, 0]), ("D12", d[0, 1]), ("D22", d[1, 1]), ("D66", d[2, 2]))
    values = tuple(Value(symbol, float(value), "N·mm") for symbol, value in terms)
    total = d[0, 0] / a**4 + mixed * (d[0, 1] + 2 * d[2, 2]) / (a * b) ** 2 + d[1, 1] / b**4
    return sides_of(panel), values, float(total)


def shear_terms(panel: Panel, laminates: Laminates) -> tuple[Terms, float]:
    """Shear stiffnesses and Sx/a² + Sy/b² [N/mm³]."""
    sx, sy = (laminates.shear_n_per_m[0] * 1e-3).tolist()
    a, b = sides_mm(panel)
    return (Value("Sx", sx, "N/mm"), Value("Sy", sy, "N/mm")), float(sx / a**2 + sy / b**2)
