"""A history script becomes commits as its entries say: merges, moves, deletions and ids filled in."""

import tomllib
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from recipe_track.history.replay import PlannedHistory, commit_id
from recipe_track.procedures.example import plan_history
from recipe_track.trail.texts import blob_id

PEOPLE = {"ada": "Ada Quay <ada@quay.example>"}


def entry(n: int, **more: Any) -> dict[str, Any]:
    """The n-th commit of a script."""
    on = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(hours=n)
    return {"folder": str(n), "by": "ada", "on": on, "message": f"commit {n}\n", **more}


def planned(folder: Path, files: dict[str, str], *entries: dict[str, Any]) -> PlannedHistory:
    """The plan of a script whose files are given as folder/path and text."""
    for path, text in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text(text)
    return plan_history({"people": PEOPLE, "commit": entries}, folder)


def tree(history: PlannedHistory, branch: str = "main") -> dict[str, bytes]:
    """The files at the tip of a branch."""
    return dict(history.commits[history.branches[branch]].files)


def test_a_merge_brings_what_its_branch_changed_and_keeps_what_main_did_meanwhile(tmp_path: Path) -> None:
    files = {"1/a": "1", "1/b": "1", "1/old": "1", "2/a": "2", "2/new": "2", "3/b": "3", "4/decision": "4"}
    aside = entry(2, branch="change/x", deleted=["old"])
    history = planned(tmp_path, files, entry(1), aside, entry(3), entry(4, merges="change/x"))
    assert tree(history) == {"a": b"2", "b": b"3", "new": b"2", "decision": b"4"}
    tip = history.commits[history.branches["main"]]
    assert [commit_id(history.commits[parent]) for parent in tip.parents] == list(tip.parents)
    assert [history.commits[parent].message for parent in tip.parents] == ["commit 3\n", "commit 4\n"]
    decided = history.commits[tip.parents[1]]
    assert [history.commits[parent].message for parent in decided.parents] == ["commit 2\n"]
    assert (decided.files["decision"], decided.files["b"]) == (b"4", b"1"), (
        "the decision lies on the proposal"
    )


def test_a_proposal_that_was_never_merged_is_gone(tmp_path: Path) -> None:
    aside = entry(2, branch="change/x")
    history = planned(tmp_path, {"1/a": "1", "2/a": "2", "3/b": "3"}, entry(1), aside, entry(3))
    assert [commit.message for commit in history.commits.values()] == ["commit 1\n", "commit 3\n"]


def test_a_change_record_gets_its_edits_and_a_decision_the_blob_it_decides(tmp_path: Path) -> None:
    files = {
        "1/prices.toml": "1", "2/prices.toml": "2", "3/C": "c = 1\n{edits:2}\n", "4/D": 'decides = "{blob:C}"'
    }  # fmt: skip
    done = tree(planned(tmp_path, files, *(entry(n) for n in range(1, 5))))
    (edit,) = tomllib.loads(done["C"].decode())["edit"]
    # ids as `git hash-object` gives them
    assert edit == {
        "path": "prices.toml",
        "before": "56a6051ca2b02b04ef92d5150c9ef600403cb1de",
        "after": "d8263ee9860594d2806b0dfd1bfd17528b0ba2a4",
    }
    assert done["D"] == f'decides = "{blob_id(done["C"])}"'.encode()


def test_a_file_changed_on_both_sides_is_refused(tmp_path: Path) -> None:
    files = {"1/a": "1", "2/a": "2", "3/a": "3"}
    aside, merge = entry(2, branch="change/x"), entry(4, merges="change/x")
    with pytest.raises(ValueError, match="both sides of a merge changed a"):
        planned(tmp_path, files, entry(1), aside, entry(3), merge)


def test_a_move_carries_the_old_content_unless_the_folder_has_a_new_one(tmp_path: Path) -> None:
    files = {"1/a": "1", "1/b": "1", "2/d": "2"}
    history = planned(tmp_path, files, entry(1), entry(2, moved={"a": "c", "b": "d"}))
    assert tree(history) == {"c": b"1", "d": b"2"}


def test_a_file_may_name_an_earlier_release(tmp_path: Path) -> None:
    tag = {"name": "pb/r1", "by": "ada", "on": entry(1)["on"], "message": "first hull 001\n"}
    files = {"1/a": "1", "2/hull": 'commit = "{commit:pb/r1}"'}
    history = planned(tmp_path, files, entry(1, tag=tag), entry(2))
    (released,) = history.tags
    assert tree(history)["hull"] == f'commit = "{released.commit}"'.encode()
    with pytest.raises(KeyError, match="pb/r2"):
        planned(tmp_path, {"3/hull": "{commit:pb/r2}"}, entry(3))
