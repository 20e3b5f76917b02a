"""A planned history becomes the repository that was planned; the example's is replayed in the journeys."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from recipe_track.errors import CallError
from recipe_track.history.replay import (
    PlannedCommit,
    PlannedHistory,
    PlannedTag,
    Stamp,
    commit_id,
    write_history,
)
from tests.journeys.gitrepo import GitRepo

ADA = Stamp("Ada Quay <ada@quay.example>", datetime(2026, 1, 1, tzinfo=UTC))


def planned() -> PlannedHistory:
    first = PlannedCommit((), ADA, ADA, "first\n", {"a.toml": b"1\n", "a/b": b"2\n", "a-b": b"3\n"})
    side = PlannedCommit((commit_id(first),), ADA, ADA, "side\n", {"a.toml": b"1\n"})
    both = PlannedCommit((commit_id(first), commit_id(side)), ADA, ADA, "both\n", {"a.toml": b"4\n"})
    commits = {commit_id(one): one for one in (first, side, both)}
    tags = (PlannedTag("pb/r1", commit_id(first), ADA, "r1\n"),)
    return PlannedHistory(commits, {"main": commit_id(both), "side": commit_id(side)}, tags)


def test_git_makes_the_commits_that_were_planned(tmp_path: Path) -> None:
    repo, history = GitRepo(tmp_path / "new", tmp_path / "home"), planned()
    with repo.acting():
        write_history(history, repo.root)
    assert {name: repo.head(name) for name in history.branches} == history.branches
    assert repo.head("pb/r1") == history.tags[0].commit
    assert (repo.root / "a.toml").read_bytes() == b"4\n"
    assert repo.git("status", "--porcelain") == ""


def test_nothing_of_anyone_s_is_written_over(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("x")
    with pytest.raises(CallError):
        write_history(planned(), tmp_path)
