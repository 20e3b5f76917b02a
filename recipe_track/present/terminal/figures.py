"""The figures of a model at one revision as tables for people, down to what each layer gives."""

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from recipe_track.figures.craft import CraftFigures, ModelFigures
from recipe_track.figures.layers import LayerFigures, ZoneLayers
from recipe_track.figures.zone import ZoneFigures
from recipe_track.present.words.figures import (
    CAUTION,
    centre_words,
    other_notes,
    requirement_words,
    revision_words,
)
from recipe_track.present.words.layers import angle_words
from recipe_track.present.words.plain import visible
from recipe_track.present.words.units import ABSENT, measure, number, quantity, unit_of
from recipe_track.review.change.uncertainty import Spread
from recipe_track.workspace import Revision

if TYPE_CHECKING:
    from rich.console import RenderableType


def figures_text(
    figures: ModelFigures, revision: Revision, zones: Sequence[ZoneFigures]
) -> "Iterator[RenderableType]":
    """Tables of zones, parts and craft at 80 columns, and the cautions."""
    yield f"{visible(figures.model)} at {revision_words(revision)}"
    yield _zone_table(zones, figures.currency)
    yield ""
    yield _part_table(figures)
    yield from _craft_lines(figures.craft, figures.currency)
    yield from _zone_notes(zones)
    yield ""
    yield CAUTION


_ZONE_KEYS = ("mass_kg", "thickness_mm", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m", "deflection_mm", "cost")
_HEADS = {"ei_x_kn_m2_per_m": "EI along", "ei_y_kn_m2_per_m": "EI across", "thickness_mm": "thick"}


def _zone_table(zones: Sequence[ZoneFigures], currency: str | None) -> "RenderableType":
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("zone", overflow="fold")
    for key in _ZONE_KEYS:
        head = f"{_HEADS.get(key, measure(key).words)}\n{unit_of(key, currency)}"
        table.add_column(Text(head), justify="right", no_wrap=True)
    for zone in zones:
        mark = " HOLD" if zone.hold else ""
        row = [Text(zone.zone + mark)]
        table.add_row(*row, *(Text(number(key, getattr(zone, key))) for key in _ZONE_KEYS))
    return table


def _part_table(figures: ModelFigures) -> "RenderableType":
    from rich.table import Table
    from rich.text import Text

    keys = ("mass_kg", "material_cost", "labour_cost", "process_cost", "cost")
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("part")
    for key in keys:
        head = f"{measure(key).words}\n{unit_of(key, figures.currency)}"
        table.add_column(Text(head), justify="right", no_wrap=True)
    for part in figures.parts:
        table.add_row(Text(part.part), *(Text(number(key, getattr(part, key))) for key in keys))
    return table


def _craft_lines(craft: CraftFigures, currency: str | None) -> Iterator[str]:
    yield ""
    laminate = quantity("laminate_mass_kg", craft.laminate_mass_kg)
    yield f"craft, laminate {laminate}, cost {quantity('cost', craft.cost, currency)}"
    for condition in craft.conditions:
        centre = centre_words(condition.centroid_m)
        yield f"  {visible(condition.name):<10} {quantity('mass_kg', condition.mass_kg):>12}  {centre}"
    for target in craft.targets:
        yield f"  target ({visible(craft.condition)}): {requirement_words(target, currency)}"


def _zone_notes(zones: Sequence[ZoneFigures]) -> Iterator[str]:
    noted = [zone for zone in zones if zone.notes or zone.hold or zone.not_checked]
    if noted:
        yield ""
    for zone in noted:
        if zone.hold:
            yield f"{zone.zone}: HOLD because of {', '.join(zone.hold)}"
        for required in zone.required:
            if required.met is False:
                yield f"{zone.zone}: required: {requirement_words(required)}"
        for note in other_notes(zone):
            yield f"{zone.zone}: {visible(note)}"
        if zone.not_checked:
            yield f"{zone.zone}: not checked: {visible(', '.join(zone.not_checked))}"


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


STATED = (
    "± is one standard deviation out of the tolerances that the materials state: "
    "first order, inputs independent"
)


def spread_lines(spread: Spread | None, currency: str | None) -> Iterator[str]:
    """A line for the changes that are smaller than their spread."""
    for key in spread.drowned if spread else ():
        assert spread is not None
        deviation = f"±{number(key, spread.deviations[key])} {unit_of(key, currency)}"
        yield f"{measure(key).words}: the change is smaller than its spread, {deviation} (standard deviation)"


def deviations_text(deviations: Mapping[str, Mapping[str, float]], currency: str | None) -> Iterator[str]:
    """A line per zone, part and craft: `deck/side: mass ±0.4 kg, EI along ±0.12 kN·m²/m`."""
    for name, found in deviations.items():
        shown = [f"{measure(k).words} ±{number(k, v)} {unit_of(k, currency)}" for k, v in found.items()]
        yield f"{visible(name)}: {', '.join(shown) or 'no tolerance stated'}"
    yield STATED
