"""The figures of a model at one revision as tables for people, down to what each layer gives."""

from collections.abc import Iterator, Sequence

from rich.console import RenderableType

from recipe_track.figures.beam import NOT_CHECKED as NOT_CHECKED_OF_BEAMS
from recipe_track.figures.frequency import IN_AIR, meeting_words
from recipe_track.figures.panel import NOT_CHECKED
from recipe_track.figures.results import (
    CENTRE_KEYS,
    PART_KEYS,
    SUMMED_KEYS,
    CraftFigures,
    EngineeringConstants,
    LayerFigures,
    ModelFigures,
    WithoutLayer,
    ZoneFigures,
    ZoneLayers,
    as_read,
)
from recipe_track.present.terminal.stiffeners import stiffener_lines
from recipe_track.present.terminal.tables import number_columns, table
from recipe_track.present.words.figures import (
    CAUTION,
    ZONE_MAIN,
    centre_words,
    exceeded_lines,
    other_notes,
    requirement_words,
    revision_words,
)
from recipe_track.present.words.plain import visible
from recipe_track.present.words.units import (
    ABSENT,
    angle_words,
    in_percent,
    number,
    number_in,
    quantity,
    unit_of,
    words_for,
)
from recipe_track.recipe.quantities import quantities_of, single_numbers
from recipe_track.workspace import Revision


def figures_text(
    figures: ModelFigures, revision: Revision, zones: Sequence[ZoneFigures]
) -> Iterator[RenderableType]:
    """Tables of zones, parts and craft at 80 columns, and the cautions."""
    yield f"{visible(figures.model)} at {revision_words(revision)}"
    yield _zone_table(zones, figures.currency)
    yield from stiffener_lines(zones)
    yield ""
    yield _part_table(figures)
    yield from _craft_lines(figures.craft, figures.currency)
    yield from _panel_lines(zones)
    yield from _zone_notes(zones)
    yield ""
    yield CAUTION


_ZONE_COLUMNS = as_read((*ZONE_MAIN, "thickness_mm"))
_PART_COLUMNS = as_read(key for key in PART_KEYS if key not in CENTRE_KEYS)
_HEADS = {
    "thickness_mm": "thick",
    "ei_stiffener_kn_m2": "EI",
    "beam_deflection_mm": "beam",
}


def _zone_table(zones: Sequence[ZoneFigures], currency: str | None) -> RenderableType:
    heads = ("zone", *(_head(key, currency) for key in _ZONE_COLUMNS))
    rows = ([f"{zone.zone}{' HOLD' if zone.hold else ''}", *_numbers(zone, _ZONE_COLUMNS)] for zone in zones)
    return table(number_columns(*heads), rows, apart=1)


_PANEL_HEADS = {
    "patch_deflection_mm": "foot\nmm",
    "strain_use": "strain\nuse",
    "patch_strain_use": "foot\nuse",
    "core_shear_use": "core\nuse",
    "patch_core_shear_use": "foot\nuse",
    "wrinkling_use": "wrinkl.\nuse",
    "patch_wrinkling_use": "foot\nuse",
    "core_crush_use": "crush\nuse",
    "frequency_hz": "freq.\nHz",
}


def _panel_lines(zones: Sequence[ZoneFigures]) -> Iterator[RenderableType]:
    """What panels use of their limits under the pressure and under the foot, and how they ring."""
    panels = [zone for zone in zones if zone.deflection_mm is not None]
    if not panels:
        return
    keys = [key for key in _PANEL_HEADS if any(getattr(zone, key) is not None for zone in panels)]
    rows = ([zone.zone, *_numbers(zone, keys)] for zone in panels)
    yield ""
    yield table(number_columns("panel", *(_PANEL_HEADS[key] for key in keys)), rows, apart=1)
    for note in dict.fromkeys(note for zone in panels for note in zone.notes if note == IN_AIR):
        yield f"  {note}"
    left_out = dict.fromkeys(what for zone in panels for what in zone.not_checked if what in NOT_CHECKED)
    if left_out:
        yield f"  not checked: {', '.join(left_out)}"


def _part_table(figures: ModelFigures) -> RenderableType:
    heads = ("part", *(_head(key, figures.currency) for key in _PART_COLUMNS))
    rows = ([part.part, *_numbers(part, _PART_COLUMNS)] for part in figures.parts)
    return table(number_columns(*heads), rows, apart=1)


def _head(key: str, currency: str | None) -> str:
    return f"{_HEADS.get(key, words_for(key))}\n{unit_of(key, currency)}"


def _numbers(figures: object, keys: Sequence[str]) -> list[str]:
    return [number(key, getattr(figures, key)) for key in keys]


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
    noted = [zone for zone in zones if zone.notes or zone.hold or zone.not_checked or zone.exceeded]
    if noted:
        yield ""
    for zone in noted:
        if zone.hold:
            yield f"{zone.zone}: HOLD because of {', '.join(zone.hold)}"
        yield from (f"{zone.zone}: {visible(line)}" for line in exceeded_lines(zone))
        for required in zone.required:
            if required.met is False:
                yield f"{zone.zone}: required: {requirement_words(required)}"
        for note in other_notes(zone):
            yield f"{zone.zone}: {visible(note)}"
        told = (*NOT_CHECKED, *NOT_CHECKED_OF_BEAMS)
        if unchecked := [what for what in zone.not_checked if what not in told]:
            yield f"{zone.zone}: not checked: {visible(', '.join(unchecked))}"
        near = (m for m in zone.excitation if len(zones) == 1 or any(s.within_band for s in m.steady))
        yield from (f"{zone.zone}: {visible(meeting_words(meeting))}" for meeting in near)


def layers_text(zones: Sequence[ZoneLayers], currency: str | None) -> Iterator[RenderableType]:
    """Two tables per zone: what each layer is, and what the zone has of it."""
    for zone in zones:
        yield f"{visible(zone.figures.zone)}: what each layer gives, mould side first"
        yield table(number_columns(*_IS), (row for layer in zone.layers for row in _is(layer)), apart=1)
        yield "  axis: from the neutral axis, bending along x, to the middle of the layer, bag side +"
        yield "  a fabric first as a whole, along and across its roll, then its directions"
        yield from _constants_lines(zone.figures)
        yield ""
        yield table(number_columns(*_gives_heads(zone.figures, currency)), _gives_rows(zone), apart=1)
        yield "  the columns after its own mass and cost are the zone without that layer"
        yield ""


_IS = ("layer", "thick\nmm", "fibre\nby vol.", "along\nGPa", "across\nGPa", "shear\nGPa", "axis\nmm")
_CONSTANTS = single_numbers(EngineeringConstants)
_MODULI = _CONSTANTS[:3]


def left_keys(zone: ZoneFigures) -> tuple[str, ...]:
    """What a zone keeps without one of its layers, of the figures that it has."""
    had = (key for key in quantities_of(WithoutLayer) if getattr(zone, key) is not None)
    return tuple(key for key in had if key in ZONE_MAIN or zone.form == "stiffener")


def _gives_heads(zone: ZoneFigures, currency: str | None) -> tuple[str, ...]:
    own = (f"own\n{unit_of(key, currency)}" for key in SUMMED_KEYS)
    return ("layer", *own, *(_head(key, currency) for key in left_keys(zone)))


def _named(layer: LayerFigures) -> str:
    times = f" ×{layer.plies}" if layer.plies > 1 else ""
    turned = " flipped" if layer.flipped else ""
    angle = f" {angle_words(layer.angle_deg)}" if layer.kind == "reinforcement" else ""
    part = "" if layer.coverage_fraction >= 1 else f" over {in_percent(layer.coverage_fraction)}"
    on = f" on {layer.on}" if layer.on != "all" else ""
    return f"{layer.line} {visible(layer.material)}{times}{angle}{turned}{on}{part}"


def _is(layer: LayerFigures) -> Iterator[list[str]]:
    own = [number_in(layer, key) for key in ("thickness_mm", "fibre_volume_fraction")]
    moduli = [number_in(layer.fabric, key) if layer.fabric else ABSENT for key in _MODULI]
    yield [_named(layer), *own, *moduli, number_in(layer, "distance_x_mm")]
    for direction in layer.directions if len(layer.directions) > 1 else ():
        angle = "any" if direction.angle_deg is None else angle_words(direction.angle_deg)
        each = ("thickness_mm", "fibre_volume_fraction", "e1_gpa", "e2_gpa", "g12_gpa")
        yield [f"    {angle}", *(number_in(direction, key) for key in each), ""]


def _constants_lines(zone: ZoneFigures) -> Iterator[str]:
    """The moduli of the whole stack, of a zone that has any."""
    if zone.ex_gpa is not None:
        along, across, shear, nu = (number(key, getattr(zone, key)) for key in _CONSTANTS)
        yield f"  all layers, free to warp: E along {along}, across {across}, G {shear} GPa, ν {nu}"
        yield "  E and EI are those of a narrow strip; skins at ±45° are far stiffer in a panel"


def _gives_rows(zone: ZoneLayers) -> list[list[str]]:
    left_of = left_keys(zone.figures)
    whole = ["all layers", *_numbers(zone.figures, SUMMED_KEYS), *_numbers(zone.figures, left_of)]
    each = ((_named(one), one, one.without) for one in zone.layers)
    return [
        whole,
        *([name, *_numbers(one, SUMMED_KEYS), *_numbers(left, left_of)] for name, one, left in each),
    ]
