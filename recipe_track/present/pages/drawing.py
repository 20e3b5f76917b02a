"""Drawings as SVG element trees: sections to scale that read without colour, and fibre directions."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from markupsafe import Markup

from recipe_track.figures.results import SectionLayer
from recipe_track.present.words.plain import visible
from recipe_track.present.words.units import stated

HEIGHT, WIDTH, GAP, LINE = 170.0, 76.0, 330.0, 13.0
TOP = 16.0


def markup(element: Element) -> Markup:
    """An element tree we built ourselves, as it goes into a page."""
    return Markup(tostring(element, encoding="unicode", short_empty_elements=False))


def svg_of(width: float, height: float, words: str) -> Element:
    """An empty drawing that says in words what it shows."""
    size = {
        "viewBox": f"0 0 {coordinate(width)} {coordinate(height)}",
        "width": coordinate(width),
        "height": coordinate(height),
    }
    svg = Element("svg", {**size, "role": "img", "aria-label": visible(words)})
    SubElement(svg, "title").text = visible(words)
    return svg


def coordinate(value: float) -> str:
    """A coordinate with so many digits as print can show, the same on every machine."""
    return f"{round(value, 2) + 0.0:g}"


def line_in(parent: Element, x1: float, y1: float, x2: float, y2: float, **style: str) -> None:
    """A line of a drawing."""
    ends = {"x1": coordinate(x1), "y1": coordinate(y1), "x2": coordinate(x2), "y2": coordinate(y2)}
    SubElement(parent, "line", {**ends, "stroke": "#000", "stroke-width": "0.6", **_dashed(style)})


def _dashed(style: Mapping[str, str]) -> dict[str, str]:
    return {key.replace("_", "-"): value for key, value in style.items()}


def text_in(parent: Element, x: float, y: float, words: str, **style: str) -> None:
    """Words in a drawing."""
    place = {"x": coordinate(x), "y": coordinate(y), "font-size": "11", "fill": "#000", **_dashed(style)}
    SubElement(parent, "text", place).text = visible(words)


@dataclass(frozen=True, slots=True)
class SectionColumn:
    """One section with a heading, and what to write beside each line of the layup."""

    head: str
    layers: Sequence[SectionLayer]
    labels: Mapping[int, str]
    changed: frozenset[int] = frozenset()


def section_drawing(columns: Sequence[SectionColumn], name: str) -> Markup:
    """Sections side by side at one scale, mould side on top; `name` keeps the hatches of a page apart."""
    shown = [[layer for layer in column.layers if layer.full] for column in columns]
    thickest = max((sum(layer.thickness_mm for layer in layers) for layers in shown), default=0.0) or 1.0
    scale = HEIGHT / thickest
    lowest = max((_label_heights(layers, scale)[-1] for layers in shown if layers), default=TOP)
    height = max(TOP + HEIGHT, lowest + 6) + 24
    svg = svg_of(GAP * len(columns) + 14, height, "section to scale, mould side on top")
    svg.append(hatches(name))
    for place, (column, layers) in enumerate(zip(columns, shown, strict=True)):
        _column(svg, column, layers, 1 + place * GAP, scale, name)
    _scale_bar(svg, scale, thickest, height)
    return markup(svg)


def _column(
    svg: Element, column: SectionColumn, layers: Sequence[SectionLayer], left: float, scale: float, name: str
) -> None:
    text_in(svg, left, 10, column.head, font_weight="bold")
    tops = list(_tops(layers, scale))
    labels = _label_heights(layers, scale)
    for layer, (top, height), label in zip(layers, tops, labels, strict=True):
        heavy = layer.line in column.changed
        box = {
            "x": coordinate(left),
            "y": coordinate(top),
            "width": coordinate(WIDTH),
            "height": coordinate(height),
        }
        edge = {"stroke": "#000", "stroke-width": "1.8" if heavy else "0.5"}
        SubElement(svg, "rect", {**box, "fill": f"url(#{name}-{layer.look})", **edge})
        line_in(svg, left + WIDTH, top + height / 2, left + WIDTH + 10, label, stroke_width="0.4")
        weight = "bold" if heavy else "normal"
        text_in(svg, left + WIDTH + 12, label + 4, column.labels.get(layer.line, ""), font_weight=weight)


def _tops(layers: Sequence[SectionLayer], scale: float) -> Iterator[tuple[float, float]]:
    """Top and height of each layer; nothing is drawn thinner than it is."""
    top = TOP
    for layer in layers:
        height = layer.thickness_mm * scale
        yield top, height
        top += height


def _label_heights(layers: Sequence[SectionLayer], scale: float) -> list[float]:
    """Near the middle of each layer, and a line apart."""
    placed: list[float] = []
    for top, height in _tops(layers, scale):
        placed.append(max(top + height / 2, placed[-1] + LINE if placed else TOP + 4))
    return placed


def _scale_bar(svg: Element, scale: float, thickest: float, height: float) -> None:
    length = next(mm for mm in (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.0) if mm <= thickest)
    bottom = height - 8
    if length:
        line_in(svg, 0, bottom, length * scale, bottom, stroke_width="1.2")
        for end in (0.0, length * scale):
            line_in(svg, end, bottom - 3, end, bottom + 3)
        text_in(svg, length * scale + 5, bottom + 3, f"{stated('thickness_mm', length)} of thickness")


def hatches(name: str) -> Element:
    """One hatch per kind of layer: they tell the kinds apart in black and white."""
    defs = Element("defs")
    dots = _hatch(defs, f"{name}-coating", 4)
    SubElement(dots, "circle", {"cx": "2", "cy": "2", "r": "0.8", "fill": "#000"})
    mat = _hatch(defs, f"{name}-mat", 8)
    for x1, y1, x2, y2 in ((1, 2, 3, 1), (5, 1, 6, 3), (2, 5, 3, 7), (5, 6, 7, 5)):
        line_in(mat, x1, y1, x2, y2)
    fabric = _hatch(defs, f"{name}-fabric", 4)
    line_in(fabric, -1, 5, 5, -1)
    line_in(fabric, -1, 1, 1, -1)
    line_in(fabric, 3, 5, 5, 3)
    core = _hatch(defs, f"{name}-core", 14)
    SubElement(core, "circle", {"cx": "7", "cy": "7", "r": "3.2", "fill": "none", "stroke": "#777"})
    return defs


def _hatch(defs: Element, name: str, size: int) -> Element:
    box = {"width": str(size), "height": str(size), "patternUnits": "userSpaceOnUse"}
    pattern = SubElement(defs, "pattern", {"id": name, **box})
    SubElement(pattern, "rect", {"width": str(size), "height": str(size), "fill": "#fff"})
    return pattern


HATCHED = ("coating", "mat", "fabric", "core")


def legend(name: str) -> Markup:
    """The hatches with their words."""
    svg = svg_of(340, 16, "hatches: coating, mat, fabric, core")
    svg.append(hatches(name))
    for place, look in enumerate(HATCHED):
        box = {"x": coordinate(place * 84 + 0.5), "y": "2", "width": "22", "height": "12", "stroke": "#000"}
        SubElement(svg, "rect", {**box, "fill": f"url(#{name}-{look})", "stroke-width": "0.5"})
        text_in(svg, place * 84 + 27, 12, look)
    return markup(svg)


def direction_drawing(angle_deg: float, fibres_deg: Sequence[float], words: str) -> Markup:
    """The zero direction dashed to the right, fibres as thin lines, an arrow along the cloth."""
    svg = svg_of(74, 50, words)
    x, y = 30.0, 25.0
    line_in(svg, x - 24, y, x + 24, y, stroke_dasharray="2 2", stroke="#555")
    text_in(svg, x + 26, y + 3, "0°", font_size="8")
    for fibre in fibres_deg:
        dx, dy = _along(fibre, 17)
        line_in(svg, x - dx, y + dy, x + dx, y - dy, stroke="#000", stroke_width="0.8")
    dx, dy = _along(angle_deg, 22)
    line_in(svg, x - dx, y + dy, x + dx, y - dy, stroke_width="2.2")
    for side in (150, -150):
        hx, hy = _along(angle_deg + side, 8)
        line_in(svg, x + dx, y - dy, x + dx + hx, y - dy - hy, stroke_width="2.2")
    return markup(svg)


def _along(angle_deg: float, length: float) -> tuple[float, float]:
    return length * math.cos(math.radians(angle_deg)), length * math.sin(math.radians(angle_deg))
