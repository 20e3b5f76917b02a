"""One file merged as git would; merging a change into main is told in the journeys."""

from pathlib import Path

import pytest

from recipe_track.errors import RepositoryError
from recipe_track.history.merges import join_with_markers


def versions(folder: Path, *texts: bytes) -> list[Path]:
    files = [folder / name for name in ("base", "ours", "theirs")]
    for file, text in zip(files, texts, strict=True):
        file.write_bytes(text)
    return files


def test_edits_apart_are_joined_and_written_over_ours(tmp_path: Path) -> None:
    base, ours, theirs = versions(tmp_path, b"a\nb\nc\nd\n", b"A\nb\nc\nd\n", b"a\nb\nc\nD\n")
    assert join_with_markers(base, ours, theirs, 7)
    assert ours.read_bytes() == b"A\nb\nc\nD\n"


def test_edits_of_one_line_stand_between_markers_of_the_length_asked_for(tmp_path: Path) -> None:
    base, ours, theirs = versions(tmp_path, b"a\n", b"b\n", b"c\n")
    assert not join_with_markers(base, ours, theirs, 9)
    assert ours.read_bytes() == b"<<<<<<<<< ours\nb\n=========\nc\n>>>>>>>>> theirs\n"


def test_what_is_no_text_stays_as_it_was(tmp_path: Path) -> None:
    base, ours, theirs = versions(tmp_path, b"\0", b"\0a", b"\0b")
    with pytest.raises(RepositoryError):
        join_with_markers(base, ours, theirs, 7)
    assert ours.read_bytes() == b"\0a"
