"""Drawings: to scale, told apart without colour, labels clear of each other and of the scale."""

import itertools
import re
from xml.etree.ElementTree import Element, fromstring

import pytest

from recipe_track.figures.results import SectionLayer
from recipe_track.present.pages.drawing import SectionColumn, direction_drawing, section_drawing

LAYERS = (
    SectionLayer(1, "gelcoat", "coating", 0.6, True),
    SectionLayer(2, "csm-300", "mat", 0.7, True),
    SectionLayer(3, "biax-800", "fabric", 1.2, True),
    SectionLayer(4, "pvc-80", "core", 20.0, True),
    SectionLayer(5, "uni-600", "fabric", 0.5, False),
    *(SectionLayer(n, "biax-450", "fabric", 0.3, True) for n in range(6, 10)),
)


def drawn(*stacks: tuple[SectionLayer, ...]) -> Element:
    columns = [
        SectionColumn(f"r{n}", s, {layer.line: f"<{layer.line}>" for layer in s})
        for n, s in enumerate(stacks)
    ]
    return fromstring(str(section_drawing(columns, "h1")))


def rects(svg: Element) -> list[Element]:
    return list(svg.findall("rect"))


def test_heights_are_thicknesses_at_one_scale_and_patches_stay_out() -> None:
    thin = LAYERS[:4]
    both = rects(drawn(LAYERS, thin))
    full = [layer for layer in LAYERS if layer.full] + list(thin)
    assert len(both) == len(full)
    scale = float(both[3].get("height", "")) / 20.0
    for rect, layer in zip(both, full, strict=True):
        assert float(rect.get("height", "")) == pytest.approx(layer.thickness_mm * scale, abs=0.02)


def test_every_kind_has_a_hatch_of_its_own() -> None:
    svg = drawn(LAYERS)
    patterns = {
        pattern.get("id"): [(child.tag, *sorted(child.attrib.items())) for child in pattern]
        for pattern in svg.iter("pattern")
    }
    used = {re.fullmatch(r"url\(#(.+)\)", rect.get("fill", "")) for rect in rects(svg)}
    assert {match[1] for match in used if match} == set(patterns)
    assert len({str(children) for children in patterns.values()}) == 4


def test_labels_and_scale_keep_clear_of_each_other() -> None:
    svg = drawn(LAYERS)
    heights = [float(text.get("y", "")) for text in svg.findall("text")]
    labels, scale = sorted(heights[:-1]), heights[-1]
    assert all(below - above >= 10 for above, below in itertools.pairwise(labels))
    assert scale - labels[-1] >= 10
    assert float(svg.get("height", "")) > scale


def test_an_arrow_points_anticlockwise_from_the_zero_direction() -> None:
    """The shaft is the widest line that starts at one end of the cloth; y grows downwards on a page."""
    svg = fromstring(str(direction_drawing(30.0, (), "30°")))
    shaft = next(line for line in svg.findall("line") if line.get("stroke-width") == "2.2")
    x1, y1, x2, y2 = (float(shaft.get(key, "")) for key in ("x1", "y1", "x2", "y2"))
    assert x2 > x1
    assert (y1 - y2) / (x2 - x1) == pytest.approx(0.57735, rel=1e-3)  # tan 30°
