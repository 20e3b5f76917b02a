"""A record put on main; races, kills and odd work trees are told in the journeys."""

import pytest

from recipe_track.errors import CallError, Refused, RepositoryError
from recipe_track.history.commit_to_main import commit_record, local_tip
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo
from tests.unit.history.conftest import ZONE

MAIN = "refs/heads/main"
RECORD = "records/2026/T-7K3QX2.toml"


def test_a_record_is_one_commit_on_main_whatever_is_checked_out(yard: GitRepo) -> None:
    yard.branch("side")
    before = yard.state()
    with yard.acting(), open_repository(yard.root) as repo:
        commit = commit_record(repo, "main", {RECORD: b"x\n"}, "Log")
    assert yard.head("main") == commit
    assert yard.git("diff", "--name-status", "side", "main") == f"A\t{RECORD}"
    assert yard.state() == before


def test_the_same_again_and_nothing_are_refused(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        commit_record(repo, "main", {RECORD: b"x\n"}, "Log")
        with pytest.raises(Refused, match="holds exactly this already"):
            commit_record(repo, "main", {RECORD: b"x\n"}, "Log")
        with pytest.raises(CallError):
            commit_record(repo, "main", {}, "Log")


def test_a_file_that_has_changed_since_it_was_read_is_not_written_over(yard: GitRepo) -> None:
    read = yard.head()
    yard.commit("newer", files={ZONE: "t = 2\n"})
    with yard.acting(), open_repository(yard.root) as repo, pytest.raises(Refused) as refused:
        commit_record(repo, "main", {ZONE: b"t = 3\n"}, "Edit", base=read)
    assert refused.value.details == (ZONE,)


def test_a_folder_is_not_replaced_by_a_file(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo, pytest.raises(Refused, match="other files away"):
        commit_record(repo, "main", {"models/pb": b"x"}, "Log")
    assert (yard.root / ZONE).exists()


def test_a_missing_main_beside_other_branches_is_not_a_beginning(yard: GitRepo) -> None:
    new = GitRepo.create(yard.root.parent, name="new")
    with yard.acting():
        with open_repository(new.root) as repo:
            assert local_tip(repo, MAIN) is None
        yard.git("branch", "--move", "main", "trunk")
        with open_repository(yard.root) as repo, pytest.raises(RepositoryError, match="no local branch main"):
            local_tip(repo, MAIN)
