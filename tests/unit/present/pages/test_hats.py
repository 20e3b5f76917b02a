"""Drawings of stiffeners: to scale, every line on its part, the crown over the webs, the plating below."""

import re
from dataclasses import replace
from typing import Any
from xml.etree.ElementTree import Element, fromstring

import pytest

from recipe_track.figures.layers import hat_of
from recipe_track.present.pages.hats import HatColumn, hat_drawing
from tests.recipes import case, materials

SHAPE = {"crown_mm": 60, "height_mm": 80, "base_mm": 90, "flange_mm": 50}
LAYUP: list[dict[str, Any]] = [
    {"material": "biax-800", "plies": 4},
    {"material": "uni-600", "plies": 5, "on": "crown"},
    {"material": "wr-600", "coverage_fraction": 0.3},
]
Corners = list[tuple[float, float]]


def drawn(**keys: Any) -> Element:
    plate = case([{"material": "quad-1200", "plies": 6}])
    own = case(
        LAYUP, name="hull/girder", using=materials(), form="stiffener", length_m=2.0, section=SHAPE,
        attached="hull/bottom", effective_width_mm=300, attached_axis="x", **keys,
    )  # fmt: skip
    hat = hat_of(replace(own, attached=plate))
    assert hat is not None
    column = HatColumn("<r1>", hat, {1: "<biax>", 2: "<uni>"})
    return fromstring(str(hat_drawing([column, column], "h1")))


def polygons(svg: Element) -> list[Corners]:
    found = [re.findall(r"(-?[\d.]+),(-?[\d.]+)", one.get("points", "")) for one in svg.iter("polygon")]
    return [[(float(x), float(y)) for x, y in corners] for corners in found]


def height(corners: Corners) -> float:
    ys = [y for _, y in corners]
    return max(ys) - min(ys)


def width(corners: Corners) -> float:
    xs = [x for x, _ in corners]
    return max(xs) - min(xs)


def test_a_hat_is_drawn_to_scale_with_its_cap_on_top() -> None:
    """Former, plating, two lines of crown, then on either side a web and a flange: per column."""
    svg = drawn(former={"material": "pvc-80"})
    former, plating, first, cap, *rest = polygons(svg)[: len(polygons(svg)) // 2]
    scale = height(former) / 80
    assert (width(former), width(first), width(cap)) == pytest.approx(
        (90 * scale, 60 * scale, 60 * scale), rel=1e-3
    )
    foot = max(y for _, y in former)
    assert min(y for _, y in plating) == pytest.approx(foot, abs=0.02)
    assert max(y for _, y in cap) == pytest.approx(min(y for _, y in first), abs=0.02)
    assert max(y for _, y in first) == pytest.approx(min(y for _, y in former), abs=0.02)
    assert len(rest) == 4
    web, flange = rest[0], rest[1]
    assert width(flange) == pytest.approx(50 * scale, abs=0.05)
    assert height(flange) == pytest.approx(height(first), abs=0.03)
    assert height(web) == pytest.approx(80 * scale + height(first) * 15 / 81.3941, rel=0.01)


def test_a_stiffener_without_a_former_is_hollow() -> None:
    assert len(polygons(drawn())) == len(polygons(drawn(former={"material": "pvc-80"}))) - 2


def test_every_part_says_what_lies_on_it() -> None:
    words = [text.text for text in drawn().iter("text")]
    assert words[0] == "<r1>"
    crown, webs = (
        words.index("crown, from the former outwards:"),
        words.index("each web, from the former outwards:"),
    )
    assert words[crown + 1 : crown + 3] == ["· <biax>", "· <uni>"]
    assert words[webs + 1 : webs + 3] == ["· <biax>", "each flange, from the former outwards:"]
    assert any("neutral axis" in (text or "") for text in words)
    assert not any("wr-600" in (text or "") for text in words)


def test_a_zone_without_a_section_has_no_hat() -> None:
    assert hat_of(case(LAYUP[:1])) is None
    assert hat_of(case(LAYUP[:1], form="stiffener", length_m=2.0, girth_mm=300)) is None
