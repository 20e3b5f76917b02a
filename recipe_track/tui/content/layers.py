"""What each layer gives, as rows and, for one layer, in full."""

from collections.abc import Iterator

from textual.content import Content

from recipe_track.figures.results import SUMMED_KEYS, LayerFigures, ZoneFigures, ZoneLayers
from recipe_track.present.words.figures import SECTION_STIFFNESS, ZONE_STIFFNESS
from recipe_track.present.words.units import (
    angle_words,
    as_in,
    figure_in,
    number,
    number_in,
    percent,
    quantity,
    signed,
    signed_quantity,
    whole_number,
    words_for,
)
from recipe_track.recipe.layup import Layer
from recipe_track.tui.text import line, lines
from recipe_track.tui.widgets.listing import Listing
from recipe_track.tui.widgets.rows import ListColumn, ListRow

LAYER_COLUMNS = (
    ListColumn("line", 4, right=True),
    ListColumn("layer", 0),
    ListColumn("mm", 5, right=True),
    ListColumn("kg", 6, right=True),
    ListColumn("cost", 6, right=True),
    ListColumn("EI along", 8, right=True),
    ListColumn("EI across", 9, right=True),
    ListColumn("defl.", 7, right=True),
)
_NOTHING, _MANIFOLD = 0.05, 1000.0  # percent


SECTION_COLUMNS = (*LAYER_COLUMNS[:5], ListColumn("EI", 8, right=True), ListColumn("defl.", 7, right=True))


def layer_columns(form: str) -> tuple[ListColumn, ...]:
    """The columns for a zone; a stiffener has the stiffness of its section and of its beam."""
    return SECTION_COLUMNS if form == "stiffener" else LAYER_COLUMNS


def stiffness_keys(zone: ZoneFigures) -> tuple[str, ...]:
    """What stiffness a layer gives, in the order of the columns."""
    return SECTION_STIFFNESS if zone.form == "stiffener" else ZONE_STIFFNESS


def layer_listing(zone: ZoneLayers | None) -> Listing[LayerFigures]:
    """One row per line of the layup; stiffness and deflection are what they become without it."""
    return Listing(tuple((_row(zone, layer), layer) for layer in zone.layers) if zone else ())


def _row(zone: ZoneLayers, layer: LayerFigures) -> ListRow:
    times = f" ×{layer.plies}" if layer.plies > 1 else ""
    turned = layer.directions and layer.directions[0].angle_deg is not None
    angle = f" {angle_words(layer.angle_deg)}" if turned else ""
    on = f" on {layer.on}" if layer.on != "all" else ""
    cells = (
        str(layer.line), f"{layer.material}{times}{angle}{on}", number("thickness_mm", layer.thickness_mm),
        number("mass_kg", layer.mass_kg), number("cost", layer.cost),
        *(_without(zone, layer, key) for key in stiffness_keys(zone.figures)),
    )  # fmt: skip
    return ListRow(str(layer.line), cells)


def _without(zone: ZoneLayers, layer: LayerFigures, key: str) -> str:
    whole, rest = getattr(zone.figures, key), getattr(layer.without, key)
    if not whole or rest is None:
        return "–"
    change = 100 * (rest - whole) / whole
    if abs(change) < _NOTHING:
        return "same"
    return f"×{whole_number(rest / whole)}" if change > _MANIFOLD else percent(change)


def layer_page(zone: ZoneLayers, layer: LayerFigures, written: Layer, currency: str | None) -> Content:
    """One layer in full."""
    return lines(_page(zone, layer, written, currency))


def _page(zone: ZoneLayers, layer: LayerFigures, written: Layer, currency: str | None) -> Iterator[Content]:
    yield line((f"line {layer.line}  {layer.material}", "bold"), f"  {_place(layer)}")
    said = [text for text in (written.extent, written.note) if text]
    if said:
        yield line(f"  {' · '.join(said)}")
    for direction in layer.directions:
        angle = "mat" if direction.angle_deg is None else angle_words(direction.angle_deg)
        e1, e2, g12 = (number_in(direction, key) for key in ("e1_gpa", "e2_gpa", "g12_gpa"))
        yield line(
            f"  {angle:>5}  {figure_in(direction, 'thickness_mm')}  "
            f"fibre by volume {figure_in(direction, 'fibre_volume_fraction')}  "
            f"E1 {e1}  E2 {e2}  G12 {g12} GPa"
        )
    yield line("  without it: ", _rest(zone, layer, currency))


def _place(layer: LayerFigures) -> str:
    if layer.distance_x_mm is None or layer.distance_y_mm is None:
        return "covers the zone in part: stays out of stiffness" if layer.coverage_fraction < 1 else ""
    x, y = layer.distance_x_mm, layer.distance_y_mm
    side = "bag side" if x > 0 else "mould side"
    along, across = (as_in(layer, "distance_x_mm", abs(distance)) for distance in (x, y))
    same = along if abs(x - y) < 0.05 else f"{along} along, {across} across"
    return f"{same} from the neutral axis, {side} of it"


def _rest(zone: ZoneLayers, layer: LayerFigures, currency: str | None) -> str:
    said = []
    for key in (*SUMMED_KEYS, *stiffness_keys(zone.figures)):
        whole, rest = getattr(zone.figures, key), getattr(layer.without, key)
        if whole is not None and rest is not None:
            noise = signed(key, rest - whole) == "0"
            change = "no change" if noise else signed_quantity(key, rest - whole, currency)
            said.append(f"{words_for(key)} {quantity(key, rest, currency)} ({change})")
    return ", ".join(said)
