"""Text typed by people cannot act: the law of `visible`, and cutting to a width."""

from hypothesis import given
from hypothesis import strategies as st

from recipe_track.present.words.plain import shortened, visible, visible_lines

# Characters that act on a terminal or on the order of text: Unicode categories Cc and Cf with a direction or
# width of their own (UAX #9, UAX #44).
ACTING = "\x1b\x00\x07\x08\r\n\t\x7f\x9b\x85\u202e\u2066\u2069\u200f\u200b\u2028\ufeff"


@given(st.text(alphabet=st.one_of(st.sampled_from(ACTING), st.characters())))
def test_nothing_acts(text: str) -> None:
    shown = visible(text)
    assert len(shown) == len(text)
    assert not set(shown) & set(ACTING)
    assert visible(shown) == shown
    shown.encode("utf-8")


@given(st.text(alphabet=st.characters(categories=["L", "N", "P", "Zs"])))
def test_what_is_harmless_stays(text: str) -> None:
    assert visible(text) == text


def test_line_ends_can_stay() -> None:
    assert visible_lines("a\r\nb\x1b[2J") == "a\nb␛[2J"


@given(st.text(), st.integers(min_value=1, max_value=40))
def test_a_shortened_text_fits_on_one_line(text: str, width: int) -> None:
    line = shortened(text, width)
    assert len(line) <= width
    assert "\n" not in line
