"""How figures are written for people: words, unit, digits; the only place that formats units."""

import math
from dataclasses import dataclass

from recipe_track.present.words.plain import visible


@dataclass(frozen=True, slots=True)
class Measure:
    """A figure's plain name, its unit and how many decimals help."""

    words: str
    unit: str
    decimals: int


MEASURES: dict[str, Measure] = {
    "area_m2": Measure("area", "m²", 2),
    "thickness_mm": Measure("thickness", "mm", 1),
    "structural_thickness_mm": Measure("structural thickness", "mm", 1),
    "core_thickness_mm": Measure("core thickness", "mm", 1),
    "areal_mass_kg_m2": Measure("areal mass", "kg/m²", 2),
    "mass_kg": Measure("mass", "kg", 1),
    "laminate_mass_kg": Measure("laminate mass", "kg", 1),
    "fibre_kg_m2": Measure("fibre", "kg/m²", 2),
    "outer_fibre_kg_m2": Measure("fibre, outer skin", "kg/m²", 2),
    "inner_fibre_kg_m2": Measure("fibre, inner skin", "kg/m²", 2),
    "fibre_mass_fraction": Measure("fibre by mass", "", 3),
    "ea_x_mn_per_m": Measure("EA along", "MN/m", 1),
    "ea_y_mn_per_m": Measure("EA across", "MN/m", 1),
    "ei_x_kn_m2_per_m": Measure("EI along", "kN·m²/m", 2),
    "ei_y_kn_m2_per_m": Measure("EI across", "kN·m²/m", 2),
    "ei_stiffener_kn_m2": Measure("EI of the stiffener", "kN·m²", 2),
    "neutral_axis_mm": Measure("neutral axis of the stiffener", "mm", 1),
    "s_x_kn_per_m": Measure("shear stiffness along", "kN/m", 0),
    "s_y_kn_per_m": Measure("shear stiffness across", "kN/m", 0),
    "deflection_mm": Measure("deflection", "mm", 2),
    "patch_deflection_mm": Measure("deflection under the foot load", "mm", 2),
    "core_shear_use": Measure("core shear use", "", 3),
    "strain_use": Measure("strain use", "", 3),
    "wrinkling_use": Measure("wrinkling use", "", 3),
    "material_cost": Measure("material", "¤", 0),
    "labour_cost": Measure("labour", "¤", 0),
    "process_cost": Measure("process", "¤", 0),
    "cost": Measure("cost", "¤", 0),
    "lcg_m": Measure("LCG", "m", 3),
    "tcg_m": Measure("TCG", "m", 3),
    "vcg_m": Measure("VCG", "m", 3),
    "fill": Measure("fill", "", 2),
    "sinkage_mm": Measure("sinkage", "mm", 2),
    "trim_mm": Measure("trim", "mm", 2),
    "heel_deg": Measure("heel", "°", 3),
}
_LIMITS = {"_min": "at least", "_max": "at most"}
ABSENT = "–"
PLACES = ("lcg_m", "tcg_m", "vcg_m")


def measure(key: str) -> Measure:
    """Words, unit and decimals of a figure; an unknown key is written as it is."""
    return MEASURES.get(key, Measure(key, "", 3))


def unit_of(key: str, currency: str | None = None) -> str:
    """The unit of a figure; money in the currency of the price list."""
    unit = measure(key).unit
    return visible(currency or "") if unit == "¤" else unit


def number(key: str, value: float | None) -> str:
    """A figure without its unit; a dash where there is none."""
    if value is None:
        return ABSENT
    return f"{_rounded(value, measure(key).decimals):,.{measure(key).decimals}f}".replace(",", "\u202f")


def quantity(key: str, value: float | None, currency: str | None = None) -> str:
    """A figure with its unit."""
    if value is None:
        return ABSENT
    return f"{number(key, value)} {unit_of(key, currency)}".rstrip()


def signed(key: str, value: float | None) -> str:
    """A change with its sign, with more digits where it would round to nothing; `0` for computing noise."""
    if value is None:
        return ABSENT
    decimals = measure(key).decimals
    if abs(value) < 0.5 * 10.0 ** -(decimals + 2):
        return "0"
    text = f"{abs(value):,.{decimals}f}".replace(",", "\u202f")
    if not any(c in "123456789" for c in text):
        digits = -math.floor(math.log10(abs(value)))
        return f"{'+' if value > 0 else '−'}{abs(value):.{digits}f}"
    return f"{'+' if value > 0 else '−'}{text}"


def signed_quantity(key: str, value: float | None, currency: str | None = None) -> str:
    """A change with sign and unit."""
    return f"{signed(key, value)} {unit_of(key, currency)}".rstrip() if value is not None else ABSENT


def percent(value: float | None) -> str:
    """A relative change with its sign."""
    if value is None:
        return ABSENT
    if abs(value) < 0.05:
        return "0 %" if abs(value) < 1e-6 else f"{'+' if value > 0 else '−'}{abs(value):.2g} %"
    return f"{'+' if value > 0 else '−'}{abs(value):.{1 if abs(value) < 10 else 0}f} %"


def relative(key: str, value: float | None) -> str:
    """A relative change of a figure; a centre is a place and has none."""
    return "" if key in PLACES or value is None else percent(value)


def limit_words(key: str) -> tuple[str, str]:
    """A requirement's figure key and whether it is `at least`, `at most` or `within`."""
    for ending, words in _LIMITS.items():
        if key.endswith(ending):
            return key.removesuffix(ending), words
    return key, "within"


def _rounded(value: float, decimals: int) -> float:
    rounded = round(value, decimals)
    return 0.0 if rounded == 0 else rounded
