"""Which changes a commit brings, by its trailers and by the records it adds."""

from dataclasses import replace

from recipe_track.history.log import Commit, FileChange, parse_trailers
from recipe_track.review.past.changes_on_main import change_ids, edited_paths, is_recipe_commit


def commit(message: str, *changes: FileChange) -> Commit:
    return Commit(
        "a" * 40, ("b" * 40,), "Ada", "ada@x.example", "2026-01-01", message, parse_trailers(message), changes
    )


def added(path: str) -> FileChange:
    return FileChange("A", path, None, "1" * 40, None)


def test_changes_are_named_once_by_trailer_and_record() -> None:
    both = commit("Edit\n\nChange: C-AAAAAA, C-BBBBBB\n", added("records/2026/C-AAAAAA.toml"))
    assert change_ids(both) == ("C-AAAAAA", "C-BBBBBB")
    assert change_ids(commit("x", added("records/2026/C-AAAAAA.toml"))) == ("C-AAAAAA",)
    imported = replace(both, parents=())
    assert change_ids(imported) == ("C-AAAAAA", "C-BBBBBB")
    assert change_ids(replace(imported, trailers=())) == ()
    altered = FileChange("M", "records/2026/C-AAAAAA.toml", "records/2026/C-AAAAAA.toml", "1" * 40, "2" * 40)
    assert change_ids(commit("x", altered)) == ()
    assert change_ids(commit("x\n\nChange: C-AAAAAI", added("records/2026/T-AAAAAA.toml"))) == ()


def test_only_content_and_names_of_recipe_files_count() -> None:
    mode = FileChange("M", "models/m/d/a.toml", "models/m/d/a.toml", "1" * 40, "1" * 40)
    moved = FileChange("R", "models/m/d/b.toml", "models/m/d/a.toml", "1" * 40, "1" * 40)
    assert edited_paths([mode]) == set()
    assert edited_paths([moved]) == {"models/m/d/a.toml", "models/m/d/b.toml"}
    assert not is_recipe_commit(commit("x", added("hulls/001.toml"), added("records/2026/T-AAAAAA.toml")))
    assert is_recipe_commit(commit("x", added("prices.toml")))
