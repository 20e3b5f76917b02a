"""What a zone's figures start from: materials with their sources, layup, part, panel, prices."""

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from recipe_track.figures.cases import Resolved, ZoneCase
from recipe_track.figures.plies import ResolvedLayer
from recipe_track.figures.working.lines import Chapter, Line
from recipe_track.recipe.craft import Part, Wastage
from recipe_track.recipe.fields import RecipeTable
from recipe_track.recipe.layup import Layer
from recipe_track.recipe.materials import Material, Reinforcement
from recipe_track.recipe.quantities import Label, marks_of, quantities_of, unit_of_key, words_of

# Read elsewhere on the sheet, or not a number of the zone's own.
ZONE_ASIDE = ("form", "centroid_m", "layup", "panel")
UNSAID = ("nothing", "shop", "purchasing")


def input_sections(resolved: Resolved) -> Iterator[Chapter]:
    """Every number that is written, with where it comes from."""
    case = resolved.case
    yield Chapter("Zone", tuple(stated_lines(case.zone, aside=ZONE_ASIDE)))
    yield Chapter("Part", tuple(_part_lines(case.part)))
    if case.zone.layup:
        yield Chapter("Layup, from mould side to bag side", tuple(map(_layer_line, resolved.layers)))
    if case.zone.panel is not None:
        yield Chapter("Panel", tuple(stated_lines(case.zone.panel)))
    yield Chapter("Materials", tuple(_material_lines(case, resolved)))


def stated_lines(
    written: RecipeTable, what: str = "", aside: Collection[str] = (), source: str = ""
) -> Iterator[Line]:
    """The values written in a table, tables within it included; not its words, nor who sells it."""
    source = getattr(written, "source", None) or source
    for key, mark in marks_of(type(written)).items():
        value = getattr(written, key)
        if value is None or key in aside or (isinstance(mark, Label) and mark.counts in UNSAID):
            continue
        words = f"{what}{words_of(type(written), key)}"
        if isinstance(value, RecipeTable):
            yield from stated_lines(value, f"{words}, ", source=source)
        else:
            yield from _values(words, unit_of_key(key), value, source)


def _values(what: str, unit: str, value: Any, source: str) -> Iterator[Line]:
    if isinstance(value, dict):
        for name, one in value.items():
            yield Line(f"{what}, {name}", one, unit, source=source)
    elif isinstance(value, tuple):
        for number, one in enumerate(value, start=1):
            yield from stated_lines(one, f"{what} {number}, ", source=source)
    elif isinstance(value, bool):
        yield Line(what, "yes" if value else "no", source=source)
    else:
        yield Line(what, float(value) if isinstance(value, int) else value, unit, source=source)


def _part_lines(part: Part) -> Iterator[Line]:
    yield Line("process", part.process)
    yield Line("resin", part.resin)
    for kind, quantity in quantities_of(Wastage).items():
        if fraction := getattr(part.wastage_fraction, kind):
            yield Line(quantity.words, fraction)


def _layer_line(resolved: ResolvedLayer) -> Line:
    return Line(f"layer {resolved.line}", ", ".join(_layer_words(resolved.layer)))


def _layer_words(layer: Layer) -> Iterator[str]:
    yield layer.material if layer.plies == 1 else f"{layer.material} ×{layer.plies}"
    if layer.thickness_mm is not None:
        yield f"{layer.thickness_mm:g} mm"
    yield f"{layer.angle_deg:g}°"
    if layer.flipped:
        yield "flipped"
    if layer.coverage_fraction < 1:
        yield f"over {layer.coverage_fraction:g} of the zone: weight and cost only"
    for key in ("process", "resin", "fibre_mass_fraction", "uptake_g_m2"):
        if getattr(layer, key) is not None:
            yield f"{key.replace('_', ' ')} {getattr(layer, key)}"


def materials_met(case: ZoneCase, resolved: Resolved) -> dict[str, Material]:
    """Materials of a zone in the order met: fabrics, their fibres, resins, cores, coatings, former, paste."""
    names = list(_used_names(resolved.layers))
    zone = case.zone
    names += [zone.former.material] if zone.former else []
    names += [zone.paste] if zone.paste else []
    names += list(_used_names(resolved.attached))
    return {name: case.materials[name] for name in dict.fromkeys(names)}


def _used_names(layers: Iterable[ResolvedLayer]) -> Iterator[str]:
    for layer in layers:
        yield layer.layer.material
        if isinstance(layer.material, Reinforcement):
            yield from (direction.fibre or layer.material.fibre for direction in layer.material.directions)
            yield layer.resin


def _material_lines(case: ZoneCase, resolved: Resolved) -> Iterator[Line]:
    for name, material in materials_met(case, resolved).items():
        yield Line(name, material.kind, source=material.source or "no source stated")
        # said once above all that it holds for
        yield from stated_lines(material.model_copy(update={"source": None}), f"{name}: ", aside=("kind",))
