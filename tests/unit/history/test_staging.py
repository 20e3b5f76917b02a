"""The commit that is being made: its files, its message."""

import pytest

from recipe_track.errors import Refused
from recipe_track.history.repository import open_repository
from recipe_track.history.staging import index_tree, is_merging, message_trailers, staged_edits
from tests.journeys.gitrepo import GitRepo
from tests.unit.history.conftest import ZONE


def test_the_index_a_hook_is_given_rules(yard: GitRepo) -> None:
    yard.write(ZONE, "t = 2\n")
    other = yard.root / ".git/other-index"
    with yard.acting(), open_repository(yard.root, index_file=str(other)) as repo:
        assert index_tree(repo) == {}
        assert {path for _, path in staged_edits(repo)} == {ZONE}  # deleted, by an index without it
    with yard.acting(), open_repository(yard.root) as repo:
        assert set(index_tree(repo)) == {ZONE, "recipe-track.toml"}
        assert staged_edits(repo) == ()


def test_what_is_only_announced_will_not_be_committed(yard: GitRepo) -> None:
    yard.write("materials/new.toml", "x\n")
    yard.git("add", "--intent-to-add", "materials/new.toml")
    with yard.acting(), open_repository(yard.root) as repo:
        assert "materials/new.toml" not in index_tree(repo)


def test_before_the_first_commit_everything_is_an_edit(yard: GitRepo) -> None:
    new = GitRepo.create(yard.root.parent, name="new")
    new.write("prices.toml", "x\n")
    new.git("add", "--all")
    with new.acting(), open_repository(new.root) as repo:
        assert staged_edits(repo) == (("A", "prices.toml"),)


def test_a_merge_left_with_conflicts_is_refused(yard: GitRepo) -> None:
    yard.branch("side")
    yard.commit("side", files={ZONE: "t = 2\n"})
    yard.checkout("main")
    yard.commit("main", files={ZONE: "t = 3\n"})
    assert yard.run("merge", "side").returncode == 1
    with yard.acting(), open_repository(yard.root) as repo:
        assert is_merging(repo)
        with pytest.raises(Refused) as refused:
            index_tree(repo)
    assert refused.value.details == (ZONE,)


def test_trailers_are_read_as_git_will_keep_them(yard: GitRepo) -> None:
    yard.git("config", "core.commentChar", ";")
    message = b"Subject\n\nReason: stiffer\n; Change: C-000000\n; ------------------------ >8 ------------------------\nTrial: x\n"
    with yard.acting(), open_repository(yard.root) as repo:
        assert message_trailers(repo, message) == {"reason": "stiffer"}
