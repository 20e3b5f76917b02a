"""What each layer of a zone gives, as JSON and as a table."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from recipe_track.figures.layers import LayerFigures, ZoneLayers
from recipe_track.present.figures import plain_data
from recipe_track.present.layers import angle_words
from recipe_track.present.plain import visible
from recipe_track.present.units import ABSENT, number

if TYPE_CHECKING:
    from rich.console import RenderableType


def layers_json(zones: Sequence[ZoneLayers]) -> dict[str, Any]:
    """Per zone name, its layers, mould side first."""
    return {zone.figures.zone: plain_data(zone.layers) for zone in zones}


def layers_text(zones: Sequence[ZoneLayers], currency: str | None) -> "Iterator[RenderableType]":
    """Two tables per zone: what each layer is, and what the zone has of it."""
    for zone in zones:
        yield f"{visible(zone.figures.zone)}: what each layer gives, mould side first"
        yield table_of(_IS, [_is(layer) for layer in zone.layers])
        yield "  axis: from the neutral axis, bending along x, to the middle of the layer, bag side +"
        yield ""
        yield table_of(_gives_heads(currency), _gives_rows(zone))
        yield "  the last five columns are the zone without that layer"
        yield ""


_IS = ("layer", "thick\nmm", "fibre\nby vol.", "E1\nGPa", "E2\nGPa", "G12\nGPa", "axis\nmm")


def _gives_heads(currency: str | None) -> tuple[str, ...]:
    money = visible(currency or "")
    units = ("kg", money, "kN·m²/m", "kN·m²/m", "mm")
    words = ("mass", "cost", "EI along", "EI across", "deflection")
    own = ("layer", "own\nkg", f"own\n{money}")
    return (*own, *(f"{word}\n{unit}" for word, unit in zip(words, units, strict=True)))


def table_of(heads: Sequence[str], rows: "Sequence[Sequence[str]]") -> "RenderableType":
    """A plain table whose first column is text and whose others are numbers."""
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    for n, head in enumerate(heads):
        table.add_column(Text(head), justify="right" if n else "left", overflow="fold", no_wrap=n > 0)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table


def _named(layer: LayerFigures) -> str:
    times = f" ×{layer.plies}" if layer.plies > 1 else ""
    turned = " flipped" if layer.flipped else ""
    angle = f" {angle_words(layer.angle_deg)}" if layer.kind == "reinforcement" else ""
    part = "" if layer.coverage_fraction >= 1 else f" over {100 * layer.coverage_fraction:g} %"
    return f"{layer.line} {visible(layer.material)}{times}{angle}{turned}{part}"


def _is(layer: LayerFigures) -> list[str]:
    first = layer.directions[0] if layer.directions else None
    moduli = [_decimals(getattr(first, key, None), 1) for key in ("e1_gpa", "e2_gpa", "g12_gpa")]
    volume = _decimals(layer.fibre_volume_fraction, 3)
    return [_named(layer), f"{layer.thickness_mm:.2f}", volume, *moduli, _decimals(layer.distance_x_mm, 1)]


def _gives_rows(zone: ZoneLayers) -> list[list[str]]:
    keys = ("mass_kg", "cost", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m", "deflection_mm")
    whole = ["all layers", number("mass_kg", zone.figures.mass_kg), number("cost", zone.figures.cost)]
    rows = [[*whole, *(number(key, getattr(zone.figures, key)) for key in keys)]]
    for layer in zone.layers:
        own = [_named(layer), number("mass_kg", layer.mass_kg), number("cost", layer.cost)]
        rows.append([*own, *(number(key, getattr(layer.without, key)) for key in keys)])
    return rows


def _decimals(value: float | None, decimals: int) -> str:
    return ABSENT if value is None else f"{value:.{decimals}f}"
