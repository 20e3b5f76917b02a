"""Git's own merge of three files: what both sides say, and markers where they do not agree."""

from pathlib import Path

import pytest

from recipe_track.errors import RepositoryError
from recipe_track.history.merges import join_with_markers

LINES = "".join(f"line {n}\n" for n in range(9))


def merged(folder: Path, base: str, ours: str, theirs: str, size: int = 7) -> tuple[bool, str]:
    files = [folder / name for name in ("base", "ours", "theirs")]
    for file, text in zip(files, (base, ours, theirs), strict=True):
        file.write_text(text, encoding="utf-8")
    agreed = join_with_markers(*files, size)
    assert (files[0].read_text(), files[2].read_text()) == (base, theirs)
    return agreed, files[1].read_text(encoding="utf-8")


def test_edits_apart_from_each_other_are_joined(tmp_path: Path) -> None:
    ours, theirs = LINES.replace("line 1\n", "ours\n"), LINES.replace("line 7\n", "theirs\n")
    both = ours.replace("line 7\n", "theirs\n")
    assert merged(tmp_path, LINES, ours, theirs) == (True, both)


@pytest.mark.parametrize("size", [7, 11])
def test_a_line_edited_twice_is_put_before_people_under_plain_names(tmp_path: Path, size: int) -> None:
    ours, theirs = (LINES.replace("line 4\n", f"{who}\n") for who in ("mine", "yours"))
    agreed, text = merged(tmp_path, LINES, ours, theirs, size)
    told = f"{'<' * size} ours\nmine\n{'=' * size}\nyours\n{'>' * size} theirs\n"
    assert (agreed, text) == (False, LINES.replace("line 4\n", told))


def test_many_conflicts_are_conflicts_and_no_error(tmp_path: Path) -> None:
    """Git's status is their number, and stops at 127."""
    blocks = "".join(f"line {n}\n" + "same\n" * 4 for n in range(150))
    ours, theirs = (blocks.replace("line", who) for who in ("mine", "yours"))
    agreed, text = merged(tmp_path, blocks, ours, theirs)
    assert (agreed, text.count("<<<<<<< ours\n")) == (False, 150)


def test_what_is_no_text_is_an_error_and_stays(tmp_path: Path) -> None:
    with pytest.raises(RepositoryError):
        merged(tmp_path, "a\0\n", "b\0\n", "c\0\n")
    assert (tmp_path / "ours").read_text() == "b\0\n"
