"""The panel under its loads, worked out as far as a hand can follow, with both kinds of edges."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np

from recipe_track.figures.cases import Resolved
from recipe_track.figures.limits import Use
from recipe_track.figures.loads import sides_mm
from recipe_track.figures.panel import margins_of, respond
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.si import KPA, MM
from recipe_track.figures.stack import Laminates
from recipe_track.figures.working.frequency import frequency_sections
from recipe_track.figures.working.lines import Chapter, Line, Value, derived, stated
from recipe_track.figures.working.terms import EDGES, bending_terms, shear_terms
from recipe_track.figures.zone import zone_figures
from recipe_track.mechanics.held import held_deflection
from recipe_track.mechanics.laminate import Stiffness, mid_plane_strain
from recipe_track.mechanics.panel import PLACES
from recipe_track.recipe.layup import Panel

PLATE = "first-order shear-deformation plate with D*, Reddy 2004, ch. 3, solved by Ritz to within 0.5 %"
NOISE = 1e-2  # of the greatest curvature: what a support keeps at 0 is not 0 in the solution
STRETCHED = "; stretch as in Chia 1980"
COUPLED = 0.01  # from this difference on the coupling of stretch and bending is told


def panel_sections(resolved: Resolved, laminates: Laminates, figures: ZoneFigures) -> Iterator[Chapter]:
    """Deflections with the other edges as a bracket, a check by hand, curvatures, margins, frequency."""
    panel = resolved.case.zone.panel
    if panel is None or figures.deflection_mm is None:
        return
    other = other_edges(resolved)
    lines = (*_deflection_lines(panel, laminates, figures, other), *_rough_check(panel, laminates))
    yield Chapter("Panel: deflection", lines, f"{PLATE}{STRETCHED if figures.deflection_membrane_mm else ''}")
    lines = (*_place_lines(panel, laminates), *_edge_lines(panel, laminates))
    yield Chapter("Panel: curvatures κ = D*⁻¹ M, strains ε0 = −A⁻¹ B κ, under the pressure", lines, PLATE)
    margins = tuple(_margin_lines(resolved, laminates))
    if margins:
        yield Chapter("Panel: margins", margins, _METHODS)
    yield from frequency_sections(resolved, laminates, figures, other)


def _deflection_lines(
    panel: Panel, laminates: Laminates, figures: ZoneFigures, other: ZoneFigures
) -> Iterator[Line]:
    for load, key in (
        ("under the pressure", "deflection_mm"),
        ("under the foot load", "patch_deflection_mm"),
    ):
        if getattr(figures, key) is not None:
            for edges, found in ((panel.edges, figures), (EDGES[panel.edges], other)):
                yield Line(f"{load}, at the centre, edges {edges}", getattr(found, key), "mm", "w")
    held = _held(panel, laminates)
    if figures.deflection_mm is not None and abs(held - figures.deflection_mm) > COUPLED * held:
        yield Line(
            "under the pressure, edges held in plane, with A, B and D, the other end", held, "mm", "wh"
        )
    if figures.deflection_mm is not None and figures.deflection_membrane_mm is not None:
        yield _stretched(figures.deflection_mm, figures.deflection_membrane_mm)


def _held(panel: Panel, laminates: Laminates) -> float:
    """The deflection with edges held in their plane [mm]."""
    abd, (a, b) = laminates.stiffness, sides_mm(panel)
    one = Stiffness(abd.a[0], abd.b[0], abd.d[0])
    sx, sy = laminates.shear_n_per_m[0].tolist()
    clamped, pressure = panel.edges == "clamped", panel.pressure_kpa * KPA
    return abs(held_deflection(one, sx, sy, a * MM, b * MM, clamped, pressure)) * 1e3


def _stretched(linear: float, found: float) -> Line:
    """The root of W + β W³ = w, put in."""
    deflection, beta = Value("W", found, "mm"), Value("β", (linear - found) / found**3, "1/mm²")
    words = "under the pressure, with stretch of the mid-plane W, of which the linear one is"
    return derived(words, "w", "{W} + {β} · {W}^3", linear, "mm", deflection, beta)


def other_edges(resolved: Resolved) -> ZoneFigures:
    """The zone as it would be with the other kind of edges."""
    zone = resolved.case.zone
    assert zone.panel is not None
    panel = zone.panel.model_copy(update={"edges": EDGES[zone.panel.edges]})
    return zone_figures([replace(resolved.case, zone=zone.model_copy(update={"panel": panel}))])[0]


def _rough_check(panel: Panel, laminates: Laminates) -> Iterator[Line]:
    """One-term solutions without bend–twist coupling; a and b are the sides along x and y."""
    factor, mixed = _ONE_TERM[panel.edges]
    sides, bending, plate = bending_terms(panel, laminates, mixed)
    shear, slope = shear_terms(panel, laminates)
    load = (Value("q", panel.pressure_kpa, "kPa"), *sides)
    q = panel.pressure_kpa / 1000  # N/mm²
    bent, slid = float(factor * q / plate), float(16 / np.pi**4 * q / slope)
    formula = _BENT.format(_FACTORS[panel.edges], f"{mixed:g}")
    yield derived("rough check, bending", "wb", formula, bent, "mm", *load, *bending)
    yield derived("rough check, shear", "ws", _SLID, slid, "mm", *load, *shear)
    parts = Value("wb", bent, "mm"), Value("ws", slid, "mm")
    yield derived(
        "rough check, one term, no bend–twist coupling", "wr", "{wb} + {ws}", bent + slid, "mm", *parts
    )


# One-term solutions of orthotropic plates, J. N. Reddy, Mechanics of Laminated Composite Plates and Shells,
# 2nd ed., 2004, ch. 6 (from memory): the factor of the load and that of the mixed term. Good to some 10 % for
# panels up to twice as long as wide.
_ONE_TERM = {"clamped": (0.00342, 0.5714), "simply-supported": (16 / np.pi**6, 2.0)}
_FACTORS = {"clamped": "0.00342", "simply-supported": "16 / π^6"}
_BENT = (
    "{} · {{q}} / 1000 / "
    "({{D11}} / {{a}}^4 + {} · ({{D12}} + 2 · {{D66}}) / ({{a}}^2 · {{b}}^2) + {{D22}} / {{b}}^4)"
)
_SLID = "16 / π^4 · {q} / 1000 / ({Sx} / {a}^2 + {Sy} / {b}^2)"


def _place_lines(panel: Panel, laminates: Laminates) -> Iterator[Line]:
    """Curvatures and mid-plane strains in the middle and at edges, but where a support keeps them at 0."""
    response = respond([panel], laminates)
    curvature = response.curvature_per_m[0] * 1e-3
    strain = mid_plane_strain(laminates.stiffness, response.curvature_per_m)[0]
    least = NOISE * np.abs(curvature).max()
    for n, place in enumerate(PLACES):
        if np.abs(curvature[n]).max() > least:
            bent = (Value(f"κ{k}", float(v), "1/mm") for k, v in zip(_AXES, curvature[n], strict=True))
            stretched = (Value(symbol, float(v)) for symbol, v in zip(_STRAINS, strain[n], strict=True))
            yield stated(place, *bent, *stretched)


_AXES, _STRAINS = ("x", "y", "xy"), ("ε0x", "ε0y", "γ0xy")


def _edge_lines(panel: Panel, laminates: Laminates) -> Iterator[Line]:
    for axis, shear in zip("xy", respond([panel], laminates).edge_shear_n_per_m[0].tolist(), strict=True):
        yield Line(f"shear force in the middle of the {axis} edges", shear * 1e-3, "N/mm", f"Q{axis}")


@dataclass(frozen=True, slots=True)
class _Margin:
    """How a margin is told: what is held against what, its symbol, its unit with the factor out of SI."""

    what: str
    symbol: str
    factor: float
    unit: str


_MARGINS = {
    "strain_use": _Margin("strain", "ε", 1.0, ""),
    "core_shear_use": _Margin("core shear", "τ", 1e-6, "MPa"),
    "wrinkling_use": _Margin("wrinkling", "σ", 1e-6, "MPa"),
    "core_crush_use": _Margin("core crushing, F / e²", "p", 1e-6, "MPa"),
}
_METHODS = (
    "ε = ε0 + z κ, turned into the axes of the ply, maximum strain, Jones 1999, ch. 2; τ = Q · greatest q of "
    "the core; σ = force of the face / its thickness, σlim = 0.5 (Ef Ec Gc)^(1/3), Hoff and Mautner 1945, "
    "Allen 1969"
)


def _margin_lines(resolved: Resolved, laminates: Laminates) -> Iterator[Line]:
    margins = margins_of([resolved], laminates)[0]
    for field in fields(margins):
        use: Use | None = getattr(margins, field.name)
        told = _MARGINS[field.name.removeprefix("patch_")]
        if use is not None:
            value = Value(told.symbol, use.value * told.factor, told.unit)
            limit = Value(f"{told.symbol}lim", use.limit * told.factor, told.unit)
            what = f"{told.what}, {use.governs}"
            yield derived(what, "use", f"{{{value.symbol}}} / {{{limit.symbol}}}", use.use, "", value, limit)
