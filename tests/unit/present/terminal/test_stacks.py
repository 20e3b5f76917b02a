"""Sections are drawn to one scale; what is thinner than a row still shows."""

from hypothesis import given
from hypothesis import strategies as st

from recipe_track.figures.results import SectionLayer
from recipe_track.present.terminal.stacks import LOOK_SIGNS, scale_for, section_rows, side_by_side

layers = st.builds(
    SectionLayer,
    line=st.just(1),
    material=st.just("m"),
    look=st.sampled_from(list(LOOK_SIGNS)),
    thickness_mm=st.floats(0.2, 40.0),
    full=st.just(True),
)


def layer(look: str, thickness_mm: float, full: bool = True) -> SectionLayer:
    return SectionLayer(1, "m", look, thickness_mm, full)  # type: ignore[arg-type]


def test_heights_follow_thickness() -> None:
    thin = [layer("fabric", 2.0), layer("core", 15.0), layer("fabric", 2.0)]
    thick = [layer("fabric", 2.0), layer("core", 20.0), layer("fabric", 2.0)]
    rows, scale = side_by_side(thin, thick, 24)
    assert scale.mm_per_row == 1.0
    assert [row.count("░░") for row in rows].count(2) == 15
    assert len(rows) == 24
    assert rows[-1] == "    ▓▓"


def test_a_gelcoat_is_never_lost() -> None:
    section = [layer("coating", 0.5), layer("core", 30.0)]
    assert section_rows(section, scale_for([section], 8))[0] == "··"


def test_what_does_not_cover_the_zone_is_not_in_the_section() -> None:
    section = [layer("fabric", 2.0), layer("fabric", 9.0, full=False)]
    assert len(section_rows(section, scale_for([section], 4))) == 4


@given(st.lists(layers, min_size=1, max_size=12), st.integers(1, 30))
def test_a_section_takes_its_rows_give_or_take_its_thin_bands(section: list[SectionLayer], rows: int) -> None:
    drawn = section_rows(section, scale_for([section], rows))
    assert rows - 1 <= len(drawn) <= rows + len(section)
