"""Stiffeners as drawings: the hat to scale on its plating, every line on the part where it lies."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from xml.etree.ElementTree import Element, SubElement

from markupsafe import Markup

from recipe_track.figures.layers import HatLayers
from recipe_track.figures.results import SectionLayer
from recipe_track.present.pages.drawing import coordinate, hatches, line_in, markup, svg_of, text_in
from recipe_track.present.words.units import number, stated

HEIGHT, WIDTH, APART, LINE, TOP = 150.0, 200.0, 400.0, 13.0, 30.0
PART_WORDS = {"crown": "crown", "webs": "each web", "flanges": "each flange"}
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class HatColumn:
    """One stiffener with a heading, and what to write of each line of its layup."""

    head: str
    hat: HatLayers
    labels: Mapping[int, str]


@dataclass(frozen=True, slots=True)
class Frame:
    """Where millimetres of a section lie on the page: x from the middle, up from the face it stands on."""

    middle: float
    foot: float
    scale: float

    def at(self, x_mm: float, up_mm: float) -> Point:
        """A point of the section on the page."""
        return self.middle + x_mm * self.scale, self.foot - up_mm * self.scale


def hat_drawing(columns: Sequence[HatColumn], name: str) -> Markup:
    """Stiffeners side by side at one scale; `name` keeps the hatches of a page apart."""
    scale = min(min(HEIGHT / _tall(c.hat), WIDTH / _wide(c.hat)) for c in columns)
    below = max(_thick(c.hat.plating) for c in columns) * scale
    foot = TOP + HEIGHT
    lines = max(len(list(_words(column))) for column in columns)
    height = max(foot + below + 26, TOP + 12 + LINE * lines)
    svg = svg_of(APART * len(columns), height, "section of the stiffener to scale, bag side up")
    svg.append(hatches(name))
    for place, column in enumerate(columns):
        frame = Frame(place * APART + WIDTH / 2, foot, scale)
        text_in(svg, place * APART, 10, column.head, font_weight="bold")
        _draw(svg, column.hat, frame, name)
        for n, words in enumerate(_words(column)):
            text_in(svg, place * APART + WIDTH + 12, TOP + 8 + n * LINE, words)
    length = next(mm for mm in (100.0, 50.0, 20.0, 10.0, 0.0) if mm * scale <= WIDTH)
    if length:
        line_in(svg, 0, height - 8, length * scale, height - 8, stroke_width="1.2")
        text_in(svg, length * scale + 5, height - 5, stated("height_mm", length))
    return markup(svg)


def _thick(layers: Sequence[SectionLayer]) -> float:
    return sum(layer.thickness_mm for layer in layers if layer.full)


def _tall(hat: HatLayers) -> float:
    return hat.section.height_mm + _thick(hat.parts["crown"])


def _wide(hat: HatLayers) -> float:
    sides = 2 * max(hat.section.flange_mm, _thick(hat.parts["webs"]))
    return max(hat.section.base_mm, hat.section.crown_mm) + sides


def _words(column: HatColumn) -> Iterator[str]:
    """What lies on each part, from the former outwards, and where the neutral axis is."""
    for part, words in PART_WORDS.items():
        layers = [layer for layer in column.hat.parts[part] if layer.full]  # type: ignore[index]
        if layers and (part != "flanges" or column.hat.section.flange_mm):
            yield f"{words}, from the former outwards:"
            yield from (f"· {column.labels.get(layer.line, layer.material)}" for layer in layers)
    if column.hat.neutral_axis_mm is not None:
        yield f"neutral axis {number('neutral_axis_mm', column.hat.neutral_axis_mm)} mm above the plating"


def _draw(svg: Element, hat: HatLayers, frame: Frame, name: str) -> None:
    section = hat.section
    half, foot, h = section.crown_mm / 2, section.base_mm / 2, section.height_mm
    if hat.filled:
        corners = [(-foot, 0.0), (foot, 0.0), (half, h), (-half, h)]
        _polygon(svg, frame, corners, f"url(#{name}-core)")
    _plating(svg, hat, frame, name)
    at = h
    for layer in _full(hat.parts["crown"]):
        top = at + layer.thickness_mm
        _polygon(
            svg, frame, [(-half, at), (half, at), (half, top), (-half, top)], f"url(#{name}-{layer.look})"
        )
        at = top
    for side in (-1.0, 1.0):
        _web(svg, hat, frame, name, side)
        _flange(svg, hat, frame, name, side)
    if hat.neutral_axis_mm is not None:
        (left, y), (right, _) = (frame.at(side * _wide(hat) / 2, hat.neutral_axis_mm) for side in (-1.0, 1.0))
        line_in(svg, left, y, right, y, stroke_dasharray="6 3")


def _full(layers: Sequence[SectionLayer]) -> Iterator[SectionLayer]:
    return (layer for layer in layers if layer.full)


def _plating(svg: Element, hat: HatLayers, frame: Frame, name: str) -> None:
    """As wide as the drawing, whatever of it counts; mould side down."""
    at, wide = 0.0, min(hat.effective_width_mm, _wide(hat)) / 2
    for layer in reversed(list(_full(hat.plating))):
        low = at - layer.thickness_mm
        _polygon(
            svg, frame, [(-wide, low), (wide, low), (wide, at), (-wide, at)], f"url(#{name}-{layer.look})"
        )
        at = low


def _web(svg: Element, hat: HatLayers, frame: Frame, name: str, side: float) -> None:
    section = hat.section
    lean, h = (section.base_mm - section.crown_mm) / 2, section.height_mm
    out = (h / hypot(lean, h), lean / hypot(lean, h))  # to the outside, square to the web
    at = 0.0
    for layer in _full(hat.parts["webs"]):
        next_at = at + layer.thickness_mm
        corners = [
            (side * (x + d * out[0]), up + d * out[1])
            for x, up, d in (
                (section.base_mm / 2, 0.0, at), (section.crown_mm / 2, h, at),
                (section.crown_mm / 2, h, next_at), (section.base_mm / 2, 0.0, next_at),
            )
        ]  # fmt: skip
        _polygon(svg, frame, corners, f"url(#{name}-{layer.look})")
        at = next_at


def _flange(svg: Element, hat: HatLayers, frame: Frame, name: str, side: float) -> None:
    inner, at = hat.section.base_mm / 2, 0.0
    outer = inner + hat.section.flange_mm
    for layer in _full(hat.parts["flanges"]) if hat.section.flange_mm else ():
        top = at + layer.thickness_mm
        corners = [(side * x, up) for x, up in ((inner, at), (outer, at), (outer, top), (inner, top))]
        _polygon(svg, frame, corners, f"url(#{name}-{layer.look})")
        at = top


def _polygon(svg: Element, frame: Frame, corners: Sequence[Point], fill: str) -> None:
    points = " ".join(
        f"{coordinate(x)},{coordinate(y)}" for x, y in (frame.at(*corner) for corner in corners)
    )
    SubElement(svg, "polygon", {"points": points, "fill": fill, "stroke": "#000", "stroke-width": "0.5"})
