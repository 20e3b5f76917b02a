"""What differs from main in the work tree, and the branch it is put on."""

import pytest

from recipe_track.errors import CallError, Refused
from recipe_track.history.proposals import already_proposed, propose, work_changes
from recipe_track.history.refs import read_refs
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo
from tests.unit.history.conftest import ZONE


def test_untracked_staged_and_deleted_files_are_changes_and_ignored_ones_are_not(yard: GitRepo) -> None:
    yard.commit("more", files={".gitignore": "scratch*\n", "materials/a.toml": "1", "materials/b.toml": "1"})
    yard.write(ZONE, "t = 2\n")
    yard.git("add", ZONE)
    yard.write("materials/new.toml", "2")
    yard.write("materials/scratch.toml", "3")
    yard.write("hulls/014.toml", "4")
    (yard.root / "materials/a.toml").unlink()
    with yard.acting(), open_repository(yard.root) as repo:
        changes = work_changes(repo, "main")
    assert [(one.status, one.path, one.data, one.behind) for one in changes] == [
        ("deleted", "materials/a.toml", None, False),
        ("added", "materials/new.toml", b"2", False),
        ("modified", ZONE, b"t = 2\n", False),
    ]


def test_a_proposal_is_one_commit_on_main_and_touches_nothing_else(yard: GitRepo) -> None:
    yard.write(ZONE, "t = 2\n")
    before = yard.state()
    with yard.acting(), open_repository(yard.root) as repo:
        made = propose(repo, "main", "C-2M9XQ4", work_changes(repo, "main"), {"records/x": b"r"}, "Propose")
        assert already_proposed(
            repo, "main", work_changes(repo, "main"), read_refs(repo, "main").changes
        ) == {ZONE: "C-2M9XQ4"}
        with pytest.raises(Refused, match="cannot be started"):
            propose(repo, "main", "C-2M9XQ4", work_changes(repo, "main"), {}, "Again")
        with pytest.raises(CallError):
            propose(repo, "main", "main", work_changes(repo, "main"), {}, "x")
    assert yard.git("diff", "--name-only", "main", made.branch).splitlines() == [ZONE, "records/x"]
    assert yard.head(f"{made.branch}~1") == yard.head("main")
    assert yard.state() == before


def test_what_main_has_gone_on_with_is_behind(yard: GitRepo) -> None:
    yard.branch("side")
    yard.checkout("main")
    yard.commit("later", files={ZONE: "t = 5\n"})
    yard.checkout("side")
    yard.write(ZONE, "t = 2\n")
    with yard.acting(), open_repository(yard.root) as repo:
        (change,) = work_changes(repo, "main")
        assert change.behind
        with pytest.raises(Refused, match="has gone on"):
            propose(repo, "main", "C-2M9XQ4", (change,), {}, "x")
