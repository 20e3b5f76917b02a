"""What one clone keeps for itself."""

from recipe_track.history.repository import open_repository
from recipe_track.history.settings import attributes_file, hooks_folder, set_setting, setting
from tests.journeys.gitrepo import GitRepo


def test_a_setting_is_this_clone_s_alone_and_has_one_value(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        assert setting(repo, "merge.recipe.driver") is None
        set_setting(repo, "merge.recipe.driver", None)  # nothing to take out
        yard.git("config", "--add", "merge.recipe.driver", "one")
        yard.git("config", "--add", "merge.recipe.driver", "two\nlines")
        assert setting(repo, "merge.recipe.driver") == "two\nlines"
        set_setting(repo, "merge.recipe.driver", "three")
        assert yard.git("config", "--get-all", "merge.recipe.driver") == "three"
        set_setting(repo, "merge.recipe.driver", None)
        assert setting(repo, "merge.recipe.driver") is None


def test_linked_work_trees_share_attributes_and_hooks(yard: GitRepo) -> None:
    linked = yard.worktree("linked", "-b", "side")
    with yard.acting(), open_repository(linked.root) as repo:
        assert attributes_file(repo) == yard.root / ".git/info/attributes"
        assert hooks_folder(repo) == yard.root / ".git/hooks"
        yard.git("config", "core.hooksPath", str(yard.root / "mine"))
        assert hooks_folder(repo) == yard.root / "mine"
