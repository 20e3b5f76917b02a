"""Trees replayed out of the log are those that git lists, at every commit of the example and off main."""

from pathlib import Path

from recipe_track.history.objects import RECIPE_ROOTS, tree
from recipe_track.workspace import open_workspace
from recipe_track.workspace.contents import Trees, is_recipe


def test_replayed_trees_are_those_of_git(example: Path) -> None:
    with open_workspace(example) as ws:
        commits = [commit.id for commit in ws.commits]
        assert len(commits) > 40
        recipes = Trees(ws.repo, lambda: ws.commits).recipes(commits)
        trees = Trees(ws.repo, lambda: ws.commits)
        for commit in commits:
            listed = tree(ws.repo, commit, RECIPE_ROOTS)
            assert trees.whole(commit) == {p: o for p, o in listed.items() if p.endswith(".toml")}
            assert recipes[commit] == {p: o for p, o in listed.items() if is_recipe(p)}


def test_a_proposal_off_main_is_asked_of_git(example: Path) -> None:
    with open_workspace(example) as ws:
        (branch,) = ws.refs.changes
        assert branch.commit not in {commit.id for commit in ws.commits}
        whole = Trees(ws.repo, lambda: ws.commits).whole(branch.commit)
        assert any(branch.id in path for path in whole)


def test_zone_names_of_the_past_are_known(example: Path) -> None:
    with open_workspace(example) as ws:
        assert {"deck/flange", "deck/deck-support"} <= ws.past_zones["pb98"]
