"""A work tree that follows its branch, path by path."""

import pytest

from recipe_track.errors import Refused
from recipe_track.history.objects import Edit, differing, tree_entries
from recipe_track.history.repository import Repository, open_repository
from recipe_track.history.worktrees import Placing, apply_update, not_as_meant, plan_update, undo_update
from tests.journeys.gitrepo import GitRepo
from tests.unit.history.conftest import ZONE


def ahead(yard: GitRepo, repo: Repository) -> tuple[Edit, ...]:
    """What a commit that only the branch `ahead` has would change here."""
    return differing(repo, "main", "ahead")


@pytest.fixture
def behind(yard: GitRepo) -> GitRepo:
    """Main is checked out; the branch `ahead` changes a zone and brings another."""
    yard.branch("ahead")
    yard.commit("ahead", files={ZONE: "t = 2\n", "models/pb/new/zone.toml": "t = 3\n"})
    yard.checkout("main")
    return yard


def test_an_update_applied_and_undone_leaves_everything_as_it_was(behind: GitRepo) -> None:
    behind.write("other", "staged\n")
    behind.git("add", "other")
    before = behind.state()
    with behind.acting(), open_repository(behind.root) as repo:
        placing = Placing(plan_update(repo, behind.root, ahead(behind, repo)))
        assert behind.state() == before
        apply_update(repo, placing)
        assert behind.git("diff", "--name-only", "ahead") == "other"
        assert behind.git("diff", "--name-only") == ""
        undo_update(repo, placing, {})
    assert behind.state() == before
    assert not (behind.root / "models/pb/new").exists()


def test_what_the_branch_holds_after_all_is_not_undone(behind: GitRepo) -> None:
    with behind.acting(), open_repository(behind.root) as repo:
        placing = Placing(plan_update(repo, behind.root, ahead(behind, repo)))
        apply_update(repo, placing)
        undo_update(repo, placing, tree_entries(repo, "ahead", [ZONE]))
    assert (behind.root / ZONE).read_text() == "t = 2\n"
    assert not (behind.root / "models/pb/new").exists()


def test_what_was_not_placed_by_this_process_is_not_undone(behind: GitRepo) -> None:
    """Another process of ours, about to move main, has the same bytes in place and staged."""
    with behind.acting(), open_repository(behind.root) as repo:
        placing = Placing(plan_update(repo, behind.root, ahead(behind, repo)))
        behind.git("checkout", "--quiet", "ahead", "--", ".")
        before = behind.state()
        with pytest.raises(Refused, match="was edited while"):
            apply_update(repo, placing)
        undo_update(repo, placing, {})
    assert behind.state() == before


def test_what_index_and_work_tree_do_not_hold_as_meant_is_told(behind: GitRepo) -> None:
    with behind.acting(), open_repository(behind.root) as repo:
        placing = Placing(plan_update(repo, behind.root, ahead(behind, repo)))
        apply_update(repo, placing)
        assert not_as_meant(repo, placing.update) == []
        behind.write(ZONE, "t = 99\n")
        behind.git("rm", "--quiet", "--cached", "models/pb/new/zone.toml")
        told = not_as_meant(repo, placing.update)
    assert told == [f"{ZONE} in the work tree", "models/pb/new/zone.toml in the index"]


def test_what_someone_wrote_meanwhile_is_not_undone(behind: GitRepo) -> None:
    with behind.acting(), open_repository(behind.root) as repo:
        placing = Placing(plan_update(repo, behind.root, ahead(behind, repo)))
        apply_update(repo, placing)
        behind.write(ZONE, "t = 99\n")
        undo_update(repo, placing, {})
    assert (behind.root / ZONE).read_text() == "t = 99\n"


def test_what_is_saved_after_the_plan_is_not_written_over(behind: GitRepo) -> None:
    with behind.acting(), open_repository(behind.root) as repo:
        placing = Placing(plan_update(repo, behind.root, ahead(behind, repo)))
        behind.write(ZONE, "t = 99\n")
        with pytest.raises(Refused, match="was edited while"):
            apply_update(repo, placing)
    assert (behind.root / ZONE).read_text() == "t = 99\n"


def test_nothing_is_written_through_a_folder_that_is_a_link(behind: GitRepo) -> None:
    outside = behind.root.parent / "outside"
    (behind.root / "models/pb/deck").rename(outside)
    (behind.root / "models/pb/deck").symlink_to(outside)
    with behind.acting(), open_repository(behind.root) as repo, pytest.raises(Refused, match="other work"):
        plan_update(repo, behind.root, ahead(behind, repo))


@pytest.mark.parametrize("edit", ["edited", "staged", "deleted", "link"])
def test_other_work_in_a_file_refuses_the_update(behind: GitRepo, edit: str) -> None:
    file = behind.write(ZONE, "t = 7\n")
    if edit == "staged":
        behind.git("add", ZONE)
        file.write_text("t = 1\n")
    if edit in ("deleted", "link"):
        file.unlink()
    if edit == "link":
        file.symlink_to("elsewhere")
    before = behind.state()
    with (
        behind.acting(),
        open_repository(behind.root) as repo,
        pytest.raises(Refused, match="other work") as refused,
    ):
        plan_update(repo, behind.root, ahead(behind, repo))
    assert refused.value.details == (ZONE,)
    assert behind.state() == before
