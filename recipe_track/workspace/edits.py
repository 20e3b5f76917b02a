"""The edits of a change as its record keeps them: blobs, and both texts should git lose the blobs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from difflib import SequenceMatcher
from typing import TYPE_CHECKING

from recipe_track.trail.texts import blob_id

if TYPE_CHECKING:
    from recipe_track.recipe.records import Change, Edit

UNENDED = "\\"  # the line before it has no line end in the file


def diff_lines(before: bytes, after: bytes) -> str | None:
    """The whole of both texts, a line each: ` ` in both, `-` before, `+` after; None for what is no text."""
    try:
        one, other = (text.decode().splitlines(keepends=True) for text in (before, after))
    except UnicodeDecodeError:
        return None
    rows: list[str] = []
    for tag, a, b, c, d in SequenceMatcher(None, one, other, autojunk=False).get_opcodes():
        if tag == "equal":
            rows += _rows(" ", one[a:b])
        else:
            rows += [*_rows("-", one[a:b]), *_rows("+", other[c:d])]
    return "\n".join(rows)


def _rows(sign: str, lines: Iterable[str]) -> Iterator[str]:
    for line in lines:
        yield f"{sign}{line.removesuffix(chr(10))}"
        if not line.endswith("\n"):
            yield UNENDED


def texts_of(lines: str) -> tuple[bytes, bytes]:
    """Both texts out of the lines of an edit."""
    before: list[str] = []
    after: list[str] = []
    touched: tuple[list[str], ...] = ()
    for row in lines.split("\n") if lines else ():
        if row == UNENDED:
            for text in touched:
                text[-1] = text[-1].removesuffix("\n")
            continue
        touched = {" ": (before, after), "-": (before,), "+": (after,)}.get(row[:1], ())
        for text in touched:
            text.append(f"{row[1:]}\n")
    return "".join(before).encode(), "".join(after).encode()


def kept_texts(changes: Iterable[Change]) -> Mapping[str, bytes]:
    """The texts that change records keep, by blob; what does not give the blob it claims is left out."""
    kept: dict[str, bytes] = {}
    for change in changes:
        for edit in change.edit:
            kept.update(_kept(edit))
    return kept


def _kept(edit: Edit) -> Iterator[tuple[str, bytes]]:
    if edit.lines is None:
        return
    for blob, text in zip((edit.before, edit.after), texts_of(edit.lines), strict=True):
        if blob and blob_id(text, blob) == blob:
            yield blob, text
