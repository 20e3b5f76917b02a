"""The zones of a dossier: stacks side by side with their sections, figures, causes, required minima."""

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.layers import hat_of, section_of
from recipe_track.figures.results import BY_LOAD, CENTRE_KEYS, Requirement, SectionLayer, ZoneFigures
from recipe_track.impact.effects import Delta, Deltas, ZoneImpact
from recipe_track.impact.rows import LayerView, Row
from recipe_track.present.pages.drawing import SectionColumn, section_drawing
from recipe_track.present.pages.hats import HatColumn, hat_drawing
from recipe_track.present.terminal.stacks import cases_of, layer_cells, sections_of
from recipe_track.present.words.causes import also_changed_lines, causes_words
from recipe_track.present.words.comparison import shows_change, zone_heading
from recipe_track.present.words.figures import (
    ZONE_SHOWN,
    exceeded_lines,
    frequency_changes,
    held_words,
    load_words,
    other_notes,
)
from recipe_track.present.words.layers import layer_words, row_sign
from recipe_track.present.words.units import (
    figure_in,
    labelled,
    limit_words,
    millimetres,
    number,
    quantity,
    relative,
    signed,
    words_for,
)
from recipe_track.recipe.layup import Required, Zone
from recipe_track.review.change.comparison import Comparison, Side

FigureRow = tuple[str, str, str, str, str]
MARKS_IN_WORDS = {"kept": "", "removed": "taken out"}
*_FIRST, _COST = ZONE_SHOWN
SHOWN_KEYS = ("area_m2", *_FIRST, "fibre_mass_fraction", _COST)


@dataclass(frozen=True, slots=True)
class LayerRow:
    """One row of the stacks: sign and word of its mark, before, after, what it does to the mass, its note."""

    sign: str
    mark: str
    before: str
    after: str
    mass: str
    note: str


def _moved(zone: ZoneImpact) -> tuple[str, ...]:
    """Of a zone whose layers stay as they are, the figures that changed nevertheless."""
    return tuple(key for key in SHOWN_KEYS if key in zone.figures and shows_change(key, zone.figures[key]))


def _written(comparison: Comparison, name: str) -> Zone | None:
    return comparison.after.snapshot.zones_of(comparison.model).get(name)


def _place(zone: Zone | None) -> Iterator[str]:
    if zone is None:
        return
    if zone.extent:
        yield f"extent: {zone.extent}"
    if zone.drawing:
        yield f"drawing: {zone.drawing}"
    if zone.zero_direction:
        yield f"zero direction: {zone.zero_direction}"


def _layer_rows(zone: ZoneImpact, comparison: Comparison) -> Iterator[LayerRow]:
    mats = {s.material for section in sections_of(zone, comparison) for s in section if s.look == "mat"}
    cells = layer_cells(zone, mats)
    for row, (sign, before, after, mass) in zip(zone.layers, cells, strict=True):
        yield LayerRow(sign.strip(), MARKS_IN_WORDS.get(row.mark, row.mark), before, after, mass, _note(row))


def _note(row: Row) -> str:
    layer = row.after or row.before
    return "; ".join(filter(None, (layer.extent, layer.note))) if layer else ""


def _drawing(zone: ZoneImpact, comparison: Comparison, name: str) -> Markup | None:
    hats = [
        HatColumn(side.revision.shown, hat, _labels(zone, section_of(case), which))
        for side, which, case in _cases(zone, comparison)
        if (hat := hat_of(case)) is not None
    ]
    if hats:
        return hat_drawing(hats, name)
    before, after = sections_of(zone, comparison)
    columns = [
        SectionColumn(side.revision.shown, layers, _labels(zone, layers, which), _changed(zone, which))
        for side, layers, which in (
            (comparison.before, before, "before"),
            (comparison.after, after, "after"),
        )
        if layers
    ]
    return section_drawing(columns, name) if columns else None


def _cases(zone: ZoneImpact, comparison: Comparison) -> Iterator[tuple[Side, str, ZoneCase]]:
    """The zone on either side, where it stands there."""
    before, after = cases_of(zone, comparison)
    for side, which, case in ((comparison.before, "before", before), (comparison.after, "after", after)):
        if case is not None:
            yield side, which, case


def _changed(zone: ZoneImpact, which: str) -> frozenset[int]:
    views: list[LayerView | None] = [getattr(row, which) for row in zone.layers if row.mark != "kept"]
    return frozenset(view.line for view in views if view is not None)


def _labels(zone: ZoneImpact, layers: tuple[SectionLayer, ...], which: str) -> dict[int, str]:
    """Line, material and cured thickness, with the sign of what changed."""
    signs: dict[int, str] = {}
    for row in zone.layers:
        view: LayerView | None = getattr(row, which)
        if view is not None and row.mark != "kept":
            signs[view.line] = f"{row_sign(row)} "
    plies = {v.line: v for row in zone.layers if (v := getattr(row, which)) is not None}
    return {
        layer.line: f"{signs.get(layer.line, '')}{_short(plies.get(layer.line), layer)}" for layer in layers
    }


def _short(view: LayerView | None, layer: SectionLayer) -> str:
    words = layer_words(view, {layer.material} if layer.look == "mat" else ()) if view else layer.material
    words = words.split("  over ")[0]
    return words if layer.look in ("core", "coating") else f"{words}  ({figure_in(layer, 'thickness_mm')})"


def figure_rows(figures: Deltas, keys: tuple[str, ...], currency: str | None) -> tuple[FigureRow, ...]:
    """Figure, before, after, change and percent, of those that exist on a side."""
    found = ((key, figures.get(key)) for key in keys)
    return tuple(
        _figure_row(key, delta, currency)
        for key, delta in found
        if delta is not None and (delta.before is not None or delta.after is not None)
    )


def _figure_row(key: str, delta: Delta, currency: str | None) -> FigureRow:
    head = labelled(key, currency)
    before, after = number(key, delta.before), number(key, delta.after)
    if delta.delta is not None and not shows_change(key, delta):
        return head, before, after, "unchanged", ""
    return head, before, after, signed(key, delta.delta), relative(key, delta.percent)


def limit_text(requirement: Requirement, currency: str | None = None) -> str:
    """`at least 20.0 mm`."""
    return f"{limit_words(requirement.key)[1]} {held_words(requirement, currency)[1]}"


def verdict(met: bool | None) -> str:
    """Whether a minimum or a target is met, in words that need no colour."""
    return {True: "met", False: "NOT MET", None: "no figure"}[met]


@dataclass(frozen=True, slots=True)
class MinimumRow:
    """A required minimum with the figure before and after."""

    words: str
    limit: str
    before: str
    after: str
    verdict: str


@dataclass(frozen=True, slots=True)
class ZonePages:
    """Everything a dossier says of one changed zone."""

    name: str
    heading: str
    place: tuple[str, ...]
    holds: tuple[str, ...]
    exceeded: tuple[str, ...]
    layers: tuple[LayerRow, ...]
    drawing: Markup | None
    figures: tuple[FigureRow, ...]
    causes: tuple[str, ...]
    minima: tuple[MinimumRow, ...]
    minima_source: str
    notes: tuple[str, ...]
    per_kg: str


def zone_pages(zone: ZoneImpact, comparison: Comparison, number_of: int) -> ZonePages:
    """One changed zone; `number_of` keeps the hatches of its drawing apart from the others'."""
    before = comparison.before.zones().get(zone.before_zone or "")
    after = comparison.after.zones().get(zone.zone)
    written = _written(comparison, zone.zone)
    relaid = zone.status != "changed" or any(row.mark != "kept" for row in zone.layers)
    return ZonePages(
        name=zone.zone,
        heading=zone_heading(zone, after),
        place=(*_place(written), *also_changed_lines(zone, comparison)),
        holds=after.hold if after else (),
        exceeded=tuple(exceeded_lines(after)) if after else (),
        layers=tuple(_layer_rows(zone, comparison)) if relaid else (),
        drawing=_drawing(zone, comparison, f"h{number_of}") if relaid and zone.layers else None,
        figures=figure_rows(zone.figures, SHOWN_KEYS if relaid else _moved(zone), comparison.currency),
        causes=tuple(causes_words(zone, comparison.currency)),
        minima=tuple(_minima(zone, after)),
        minima_source=_source(written.required if written else None),
        notes=(*other_notes(after), *frequency_changes(before, after)) if after else (),
        per_kg=_per_kg(zone),
    )


def _minima(zone: ZoneImpact, after: ZoneFigures | None) -> Iterator[MinimumRow]:
    for requirement in after.required if after else ():
        key, _ = limit_words(requirement.key)
        before = zone.figures.get(BY_LOAD.get(key, {}).get(requirement.load or "", key))
        yield MinimumRow(
            f"{words_for(key)}{load_words(requirement)}",
            limit_text(requirement),
            quantity(key, before.before if before else None),
            held_words(requirement)[0],
            verdict(requirement.met),
        )


def _source(required: Required | None) -> str:
    if required is None:
        return ""
    checked = f", checked at {required.checked_at}" if required.checked_at else ", not said at which revision"
    return f"{required.source or 'no source recorded'}{checked}"


def _per_kg(zone: ZoneImpact) -> str:
    if zone.per_kg_saved is None:
        return ""
    moved = (f"{words_for(key)} {millimetres(zone.per_kg_saved[key])}" for key in CENTRE_KEYS)
    return f"One kilogram less here moves the craft's {', '.join(moved)}"
