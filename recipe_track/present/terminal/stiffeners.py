"""Stiffeners in tables of their own: what their section and their beam show."""

from collections.abc import Iterator, Sequence
from dataclasses import fields

from rich.console import RenderableType

from recipe_track.figures.beam import NOT_CHECKED
from recipe_track.figures.results import FIGURES, ZoneFigures
from recipe_track.figures.stiffener import StiffenerFigures
from recipe_track.present.terminal.tables import number_columns, table
from recipe_track.present.words.units import number, unit_of

STIFFENER_KEYS = tuple(f.name for f in fields(StiffenerFigures) if f.name in FIGURES)
_HEADS = {
    "ei_stiffener_kn_m2": "EI",
    "neutral_axis_mm": "axis",
    "section_modulus_crown_cm3": "W crown",
    "section_modulus_base_cm3": "W base",
    "ga_web_kn": "GA",
    "beam_deflection_mm": "defl.",
    "beam_strain_use": "strain",
    "web_shear_use": "web",
    "frequency_hz": "freq.",
}
FIRST = "ei_stiffener_kn_m2"


def stiffener_lines(zones: Sequence[ZoneFigures]) -> Iterator[RenderableType]:
    """A row per stiffener with a section; a column that no row fills is left out."""
    known = [zone for zone in zones if getattr(zone, FIRST) is not None]
    if not known:
        return
    keys = [key for key in STIFFENER_KEYS if any(getattr(zone, key) is not None for zone in known)]
    heads = [f"{_HEADS.get(key, key)}\n{unit_of(key) or 'use'}" for key in keys]
    rows = ([zone.zone, *(number(key, getattr(zone, key)) for key in keys)] for zone in known)
    yield ""
    yield table(number_columns("stiffener", *heads), rows, apart=1)
    left_out = dict.fromkeys(what for zone in known for what in zone.not_checked if what in NOT_CHECKED)
    if left_out:
        yield f"  not checked: {', '.join(left_out)}"
