"""Branches, release tags and proposals, as they stand at one moment."""

import pytest

from recipe_track.errors import CallError
from recipe_track.history.refs import head_commit, is_ancestor, main_ref, merge_base, read_refs
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo


def test_only_annotated_tags_on_commits_release_something(yard: GitRepo) -> None:
    yard.tag("pb/r10", message="tenth\n\nof many")
    yard.tag("pb/r2")
    yard.tag("pb/r02")
    yard.git("tag", "pb/r3")
    yard.tag("pb/r4", "HEAD^{tree}")
    with yard.acting(), open_repository(yard.root) as repo:
        releases = read_refs(repo, "main").releases
    assert [(one.model, one.label, one.on_main) for one in releases] == [
        ("pb", "r2", None),
        ("pb", "r10", None),
    ]
    assert (releases[1].message, releases[1].commit) == ("tenth\n\nof many", yard.head())
    assert (releases[1].tagger, releases[1].tagger_mail) == ("Ada Quay", "ada@quay.example")


def test_a_local_main_rules_and_a_fetched_one_stands_in(yard: GitRepo) -> None:
    clone = yard.clone("clone")
    clone.git("checkout", "--quiet", "-b", "side")
    clone.git("branch", "--quiet", "-D", "main")
    yard.commit("later")
    with yard.acting(), open_repository(clone.root) as repo:
        assert read_refs(repo, "main").main == clone.head("origin/main")
        clone.git("branch", "main", clone.commit("own"))
        assert read_refs(repo, "main").main == clone.head("main") != clone.head("origin/main")


def test_proposals_are_found_here_and_as_fetched(yard: GitRepo) -> None:
    yard.git("branch", "change/C-2M9XQ4")
    yard.git("branch", "change/C-lower1")
    clone = yard.clone("clone")
    with yard.acting(), open_repository(clone.root) as repo:
        changes = read_refs(repo, "main").changes
    assert [(one.id, one.remote) for one in changes] == [("C-2M9XQ4", "origin")]


def test_how_commits_lie_to_each_other(yard: GitRepo) -> None:
    first = yard.head()
    yard.branch("side")
    side = yard.commit("side")
    yard.checkout("main")
    main = yard.commit("main")
    yard.git("checkout", "--quiet", "--orphan", "other")
    with yard.acting(), open_repository(yard.root) as repo:
        assert head_commit(repo) is None
        assert [is_ancestor(repo, first, main), is_ancestor(repo, side, main)] == [True, False]
        assert merge_base(repo, side, main) == first


@pytest.mark.parametrize("name", ["", "-x", "a..b", "a b", "x.lock", "@", "a/", "refs/../x"])
def test_a_name_that_git_would_not_take_is_refused_before_git_sees_it(name: str) -> None:
    with pytest.raises(CallError):
        main_ref(name)
