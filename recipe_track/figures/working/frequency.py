"""The frequencies of a panel, checked by hand with one term, and what shakes it."""

from collections.abc import Iterator
from math import pi, sqrt

from recipe_track.figures.cases import Resolved
from recipe_track.figures.frequency import WET_SIDES, meeting_words, panel_kg_m2
from recipe_track.figures.loads import sides_mm
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.stack import Laminates
from recipe_track.figures.working.lines import Chapter, Line, Value, derived
from recipe_track.figures.working.terms import EDGES, bending_terms, shear_terms
from recipe_track.mechanics.frequency import SEA_WATER_KG_M3
from recipe_track.recipe.layup import Panel

IN_AIR = "Reddy 2004, ch. 3, shear deformation in, rotary inertia out; one term as Blevins 1979"
IN_WATER = "water against a side after Lamb 1932, an estimate: an endless plate in sine waves"
# Root of the first term of a clamped and of a supported plate, and the factor of its mixed term.
_ROOT = {"clamped": (22.37, 0.5714), "simply-supported": (pi**2, 2.0)}
_ROOT_WORDS = {"clamped": "22.37", "simply-supported": "π^2"}


def frequency_sections(
    resolved: Resolved, laminates: Laminates, figures: ZoneFigures, other: ZoneFigures
) -> Iterator[Chapter]:
    """In air with either edges, in water where the panel says so, and where shafts meet them."""
    panel = resolved.case.zone.panel
    if panel is None or figures.frequency_hz is None:
        return
    lines = [*_mass_lines(resolved, panel)]
    for edges, found in ((panel.edges, figures), (EDGES[panel.edges], other)):
        lines.append(Line(f"first in air, edges {edges}", found.frequency_hz, "Hz", "f"))
    lines += _rough_lines(resolved, panel, laminates)
    lines += _wet_lines(resolved, panel, figures)
    lines += [Line("excitation", meeting_words(meeting)) for meeting in figures.excitation]
    source = f"{IN_AIR}; {IN_WATER}" if panel.water else IN_AIR
    yield Chapter("Panel: natural frequency", tuple(lines), source)


def _mass(resolved: Resolved, panel: Panel) -> Value:
    return Value("mp", panel_kg_m2(resolved, panel), "kg/m²")


def _mass_lines(resolved: Resolved, panel: Panel) -> Iterator[Line]:
    mass, carried = _mass(resolved, panel), Value("mc", panel.carried_kg_m2, "kg/m²")
    stack = Value("ms", mass.number - carried.number, "kg/m²")
    yield derived(
        "stack, with coatings, and carried", "mp", "{ms} + {mc}", mass.number, "kg/m²", stack, carried
    )


def _rough_lines(resolved: Resolved, panel: Panel, laminates: Laminates) -> Iterator[Line]:
    """N/mm³ are 10⁹ N/m³, so that kg/m² give 1/s²."""
    root, mixed = _ROOT[panel.edges]
    sides, stiffness, plate = bending_terms(panel, laminates, mixed)
    mass = _mass(resolved, panel)
    bent = root / (2 * pi) * sqrt(plate * 1e9 / mass.number)
    formula = (
        f"{_ROOT_WORDS[panel.edges]} / (2 · π) · √(10^9 / {{mp}} · ({{D11}} / {{a}}^4 + {mixed:g} · "
        "({D12} + 2 · {D66}) / ({a}^2 · {b}^2) + {D22} / {b}^4))"
    )
    yield derived("rough check, bending", "fb", formula, bent, "Hz", *sides, *stiffness, mass)
    shear, sheared = shear_terms(panel, laminates)
    slid = 0.5 * sqrt(sheared * 1e9 / mass.number)
    formula = "√(10^9 / {mp} · ({Sx} / {a}^2 + {Sy} / {b}^2)) / 2"
    yield derived("rough check, shear", "fs", formula, slid, "Hz", *sides, *shear, mass)
    both = Value("fb", bent, "Hz"), Value("fs", slid, "Hz")
    together = 1 / sqrt(1 / bent**2 + 1 / slid**2)
    words = "rough check, one term, no bend–twist coupling"
    yield derived(words, "fr", "1 / √(1 / {fb}^2 + 1 / {fs}^2)", together, "Hz", *both)


def _wet_lines(resolved: Resolved, panel: Panel, figures: ZoneFigures) -> Iterator[Line]:
    if panel.water is None or figures.frequency_wet_hz is None or figures.frequency_hz is None:
        return
    a, b = (Value(symbol, side, "mm") for symbol, side in zip("ab", sides_mm(panel), strict=True))
    moved = SEA_WATER_KG_M3 / 1000 / (pi * sqrt(1 / a.number**2 + 1 / b.number**2))
    water = Value("mw", moved, "kg/m²")
    density = Value("ρw", SEA_WATER_KG_M3, "kg/m³")
    formula = "{ρw} / 1000 / (π · √(1 / {a}^2 + 1 / {b}^2))"
    yield derived("water that moves with a side", "mw", formula, moved, "kg/m²", density, a, b)
    given = Value("f", figures.frequency_hz, "Hz"), _mass(resolved, panel), Value("n", WET_SIDES[panel.water])
    formula, words = "{f} · √({mp} / ({mp} + {n} · {mw}))", f"with water on {panel.water}"
    yield derived(words, "fw", formula, figures.frequency_wet_hz, "Hz", *given, water)
