"""Reading ends for any bytes: the work grows with the length of a file and no faster."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.errors import Fault
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.meaning.stand_ins import mend
from recipe_track.textfiles.syntax.decoding import MOST_MISTAKES
from recipe_track.textfiles.syntax.places import locate
from recipe_track.textfiles.writing.merge import is_mergeable, merge
from tests.laws.toml_texts import JUNK, TEXTS, damaged
from tests.laws.work import calls_of, characters

PATHS = st.sampled_from(
    ["prices.toml", "materials/a.toml", "models/m/p/z.toml", "records/2026/T-7K3QX2.toml"]
)
CALLS_A_BYTE, CALLS_AT_LEAST = 150, 60_000
PIECES = (
    "a", "a ", "a.", "1", "1,", "1.000", '"', "'", '"""', "'''", "[", "]", "[[", "{", "}", "{}", "{},", "a = 1\n", "a = {\n",
    "a = [\n", "a = ", "a = 1 ", "a = b ", "b = 1,\n", "[a]\n", "[a.b]\n", "[[a]]\n", "#", "# a\n", ",", "\t", " ", "\n", "=", ":",
    "a: 1\n", "“a”", "“", "\\", "\x00", "\udc80", "<<<<<<< a\n", ">>>>>>> a\n", "=======\n", '{ material = "b" },\n',
    "{ a = 1, ", "a = 'x' y\n", '"a" . ', "a . ", "1979-05-27 ", "0x", "a = '''", "]}, ", "é", '"a\\n" ',
)  # fmt: skip
HEADS = (
    "", "a = ", "a = [", "a = [\n", "layup = [\n", "a = {", "a = {\n", "[a", 'a = "', "a = '''", 'a = """', "a = 1,", "a = 1.",
)  # fmt: skip


def _read(path: str, data: bytes) -> None:
    """Everything that is done with one file before it is joined with others."""
    model, problems = read_file(path, data)
    assert (model is None) == bool(problems)
    mended = mend(path, data) if model is None else None
    fault = Fault(path, ("layup", 0, "material"), "wrong", "wrong")
    locate(fault, data)
    if mended is not None:
        mended.hides(fault)


@given(
    damaged() | st.binary(max_size=300).map(lambda data: data.decode("latin-1")), st.integers(1, 40), PATHS
)
def test_calls_are_bounded_by_length(text: str, times: int, path: str) -> None:
    data = (text * times).encode()
    calls_of(lambda: _read(path, data), CALLS_AT_LEAST + CALLS_A_BYTE * len(data))


@given(TEXTS, JUNK, TEXTS)
def test_a_text_cut_anywhere_ends(text: str, slip: str, more: str) -> None:
    cut = (text + slip + "layup = [\n  { material = 'a', plies =").encode()
    calls_of(lambda: _read("models/m/p/z.toml", cut), CALLS_AT_LEAST + CALLS_A_BYTE * len(cut))
    calls_of(lambda: merge("models/m/p/z.toml", text.encode(), cut, more.encode()))


@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("piece", PIECES)
def test_twice_the_text_takes_twice_the_work(head: str, piece: str) -> None:
    """Of any piece written over and over: once all the mistakes are told, only the length counts."""
    short, long = (f"{head}{piece * times}".encode("utf-8", "surrogateescape") for times in (400, 800))
    path = "models/m/p/z.toml"
    assert calls_of(lambda: _read(path, long)) <= 2.2 * calls_of(lambda: _read(path, short)) + 4000
    with characters() as passed:
        _read(path, short)
        of_short = passed[0]
        _read(path, long)
        of_long = passed[0] - of_short
    assert of_long <= 2.2 * of_short + 4000
    assert of_long <= (2 * MOST_MISTAKES + 60) * len(long) + 4000


def test_many_equal_lines_merge_in_bounded_work() -> None:
    lines = b"# the same line\n" * 600
    sound = b"format = 1\n" + lines
    assert is_mergeable("recipe-track.toml", sound)
    calls_of(lambda: merge("recipe-track.toml", sound, sound + lines, lines + sound), 3_000_000)
