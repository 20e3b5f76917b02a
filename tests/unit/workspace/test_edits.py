"""The whole of both texts of an edit in a record: a law, what it looks like, and what is no text."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from recipe_track.recipe.records import Change
from recipe_track.textfiles.meaning.read import read_file
from recipe_track.textfiles.writing.render import to_toml
from recipe_track.trail.texts import blob_id
from recipe_track.workspace.edits import diff_lines, kept_texts, texts_of

# Lines that a diff could take for something else: its own signs, other line ends, nothing at all.
LINES = st.sampled_from(
    ["", "\\", "-", "+ a", " ", "plies = 2", "\\ No newline", "a\x0bb", "a\u2028b", "\x0c", "é"]
)
TEXTS = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"])),
    st.lists(st.tuples(LINES, st.sampled_from(["\n", "\r\n", "\r", ""]))).map(
        lambda rows: "".join(f"{line}{end}" for line, end in rows)
    ),
).map(str.encode)


@given(TEXTS, TEXTS)
def test_both_texts_come_back_out_of_the_lines(before: bytes, after: bytes) -> None:
    lines = diff_lines(before, after)
    assert lines is not None
    assert texts_of(lines) == (before, after)


@given(TEXTS, TEXTS)
def test_a_record_keeps_both_texts(before: bytes, after: bytes) -> None:
    """Through the file and back, whatever characters they hold."""
    blobs = [blob_id(text, "0" * 40) for text in (before, after)]
    change = read(before=blobs[0], after=blobs[1], lines=diff_lines(before, after))
    assert kept_texts([change]) == {blobs[0]: before, blobs[1]: after}


def read(**edit: str | None) -> Change:
    record = {
        "kind": "change", "by": "Ada Quay <ada@quay.example>", "on": date(2026, 1, 1), "title": "t",
        "reason": "r", "category": "price", "edit": [{"path": "prices.toml", **edit}],
    }  # fmt: skip
    change, problems = read_file("records/2026/C-000001.toml", to_toml(record).encode())
    assert problems == ()
    assert isinstance(change, Change)
    return change


def test_it_reads_as_a_diff_of_the_whole_file() -> None:
    lines = diff_lines(b"a\nplies = 2\nend", b"a\nplies = 3\nend\n")
    assert lines == " a\n-plies = 2\n-end\n\\\n+plies = 3\n+end"


def test_a_file_that_was_not_there_has_no_text() -> None:
    assert texts_of(str(diff_lines(b"", b"a\n"))) == (b"", b"a\n")


def test_what_is_no_text_has_no_lines() -> None:
    assert diff_lines(b"\xff", b"a") is None


def test_lines_that_do_not_give_the_blob_they_claim_are_left_out() -> None:
    """Nobody gets another text in by writing it into a record."""
    right = blob_id(b"a\n", "0" * 40)
    assert kept_texts([read(before="", after=right, lines="+a")]) == {right: b"a\n"}
    assert kept_texts([read(before="", after=right, lines="+b")]) == {}
    assert kept_texts([read(before="", after=right)]) == {}


def test_blobs_of_a_sha256_repository_are_known_by_their_length() -> None:
    right = blob_id(b"a\n", "0" * 64)
    assert len(right) == 64
    assert kept_texts([read(before="", after=right, lines="+a")]) == {right: b"a\n"}
