"""The panel under its loads, worked out as far as a hand can follow, with both kinds of edges."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.limits import Use
from recipe_track.figures.panel import margins_of, respond
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.stack import Laminates
from recipe_track.figures.working.lines import Chapter, Line, Value, derived, rows
from recipe_track.figures.zone import zone_figures
from recipe_track.mechanics.laminate import mid_plane_strain, reduced_bending
from recipe_track.mechanics.panel import PLACES
from recipe_track.recipe.layup import Panel

PLATE = (
    "first-order shear-deformation plate with D*, J. N. Reddy, Mechanics of Laminated Composite Plates and "
    "Shells, 2nd ed., 2004 (from memory), solved by Ritz to within 0.5 %"
)
EDGES = {"clamped": "simply-supported", "simply-supported": "clamped"}


def panel_sections(resolved: Resolved, laminates: Laminates, figures: ZoneFigures) -> Iterator[Chapter]:
    """Deflections with the other edges as a bracket, a rough check by hand, curvatures and margins."""
    panel = resolved.case.zone.panel
    if panel is None or figures.deflection_mm is None:
        return
    yield Chapter("Panel: deflection", tuple(_deflection_lines(resolved, panel, laminates, figures)), PLATE)
    yield Chapter("Panel: curvatures under the pressure", tuple(_curvature_lines(panel, laminates)), PLATE)
    margins = tuple(_margin_lines(resolved, laminates))
    if margins:
        yield Chapter("Panel: margins", margins)


def _deflection_lines(
    resolved: Resolved, panel: Panel, laminates: Laminates, figures: ZoneFigures
) -> Iterator[Line]:
    other = other_edges(resolved)
    for what, key in (
        ("under the pressure", "deflection_mm"),
        ("under the patch load", "patch_deflection_mm"),
    ):
        value, bracket = getattr(figures, key), getattr(other, key)
        if value is not None:
            yield Line(
                f"{what}, edges {panel.edges}", value, "mm", "w", "solution of the plate, at the centre"
            )
            yield Line(
                f"{what}, edges {EDGES[panel.edges]}",
                bracket,
                "mm",
                "w",
                "the same plate; a real support lies between the two",
            )
    yield from _rough_check(panel, laminates)


def other_edges(resolved: Resolved) -> ZoneFigures:
    """The zone as it would be with the other kind of edges."""
    zone = resolved.case.zone
    assert zone.panel is not None
    panel = zone.panel.model_copy(update={"edges": EDGES[zone.panel.edges]})
    return zone_figures([replace(resolved.case, zone=zone.model_copy(update={"panel": panel}))])[0]


def _rough_check(panel: Panel, laminates: Laminates) -> Iterator[Line]:
    """One-term solutions without bend–twist coupling; a and b are the sides along x and y."""
    d = reduced_bending(laminates.stiffness)[0] * 1e3
    sx, sy = (laminates.shear_n_per_m[0] * 1e-3).tolist()
    a, b = (panel.span_mm, panel.length_mm)[:: 1 if panel.span_axis == "x" else -1]
    load = (Value("q", panel.pressure_kpa, "kPa"), Value("a", a, "mm"), Value("b", b, "mm"))
    terms = (("D11", d[0, 0]), ("D12", d[0, 1]), ("D22", d[1, 1]), ("D66", d[2, 2]))
    bending = tuple(Value(symbol, float(value), "N·mm") for symbol, value in terms)
    factor, mixed = _ONE_TERM[panel.edges]
    q = panel.pressure_kpa / 1000  # N/mm²
    plate = d[0, 0] / a**4 + mixed * (d[0, 1] + 2 * d[2, 2]) / (a * b) ** 2 + d[1, 1] / b**4
    bent, slid = float(factor * q / plate), float(16 / np.pi**4 * q / (sx / a**2 + sy / b**2))
    formula = _BENT.format(_FACTORS[panel.edges], f"{mixed:g}")
    yield derived("rough check, bending", "wb", formula, bent, "mm", *load, *bending)
    shear = (Value("Sx", sx, "N/mm"), Value("Sy", sy, "N/mm"))
    yield derived("rough check, shear", "ws", _SLID, slid, "mm", *load, *shear)
    parts = Value("wb", bent, "mm"), Value("ws", slid, "mm")
    yield derived(
        "rough check, one term, no bend–twist coupling", "w", "{wb} + {ws}", bent + slid, "mm", *parts
    )


# One-term solutions of orthotropic plates, J. N. Reddy, Mechanics of Laminated Composite Plates and Shells,
# 2nd ed., 2004 (from memory): the factor of the load and that of the mixed term. Good to some 10 % for
# panels up to twice as long as wide.
_ONE_TERM = {"clamped": (0.00342, 0.5714), "simply-supported": (16 / np.pi**6, 2.0)}
_FACTORS = {"clamped": "0.00342", "simply-supported": "16 / π^6"}
_BENT = (
    "{} · {{q}} / 1000 / "
    "({{D11}} / {{a}}^4 + {} · ({{D12}} + 2 · {{D66}}) / ({{a}}^2 · {{b}}^2) + {{D22}} / {{b}}^4)"
)
_SLID = "16 / π^4 · {q} / 1000 / ({Sx} / {a}^2 + {Sy} / {b}^2)"


def _curvature_lines(panel: Panel, laminates: Laminates) -> Iterator[Line]:
    response = respond([panel], laminates)
    curvature = response.curvature_per_m
    strain = mid_plane_strain(laminates.stiffness, curvature)
    for n, place in enumerate(PLACES):
        yield Line(f"{place}: κx, κy, κxy", rows(curvature[0, n : n + 1] * 1e-3), "1/mm", "κ", "D*⁻¹ M")
        yield Line(f"{place}: εx, εy, γxy of the mid-plane", rows(strain[0, n : n + 1]), "", "ε0", "−A⁻¹ B κ")
    for axis, shear in zip("xy", response.edge_shear_n_per_m[0].tolist(), strict=True):
        yield Line(f"shear force in the middle of the {axis} edges", shear * 1e-3, "N/mm", f"Q{axis}")


@dataclass(frozen=True, slots=True)
class _Margin:
    """How a margin is told: what is held against what, its symbol, its unit with the factor out of SI."""

    what: str
    limit: str
    symbol: str
    factor: float
    unit: str
    formula: str


_MARGINS = {
    "core_shear_use": _Margin(
        "core shear stress", "shear strength of the core", "τ", 1e-6, "MPa",
        "Q of the edge · greatest q of the core",
    ),
    "strain_use": _Margin(
        "strain", "design strain", "ε", 1.0, "", "ε0 + z κ, turned into the axes of the ply",
    ),
    "wrinkling_use": _Margin(
        "compressive face stress", "wrinkling stress, 0.5 (Ef Ec Gc)^(1/3)", "σ", 1e-6, "MPa",
        "force of the face / its thickness",
    ),
}  # fmt: skip


def _margin_lines(resolved: Resolved, laminates: Laminates) -> Iterator[Line]:
    margins = margins_of([resolved], laminates)[0]
    for key, told in _MARGINS.items():
        use: Use | None = getattr(margins, key)
        if use is None:
            continue
        value = Value(told.symbol, use.value * told.factor, told.unit)
        limit = Value(f"{told.symbol}lim", use.limit * told.factor, told.unit)
        yield Line(f"{told.what}: {use.governs}", value.number, told.unit, told.symbol, told.formula)
        yield Line(told.limit, limit.number, told.unit, limit.symbol)
        yield derived(
            key.replace("_", " "), "use", f"{{{told.symbol}}} / {{{limit.symbol}}}", use.use, "", value, limit
        )
