"""Labels of revisions on real histories: releases, what follows them, and every case that is not plain."""

from pathlib import Path

import pytest

from recipe_track.history.log import walk
from recipe_track.history.process import Answer
from recipe_track.history.refs import read_refs
from recipe_track.history.repository import Repository, open_repository
from recipe_track.history.revisions import Labels, labels
from tests.journeys.gitrepo import GitRepo

ZONE = "models/pb/deck/deck-support.toml"


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    """An empty repository."""
    return GitRepo.create(tmp_path)


def edit(yard: GitRepo, text: str, path: str = ZONE) -> str:
    """A revision of the model, by default of its zone."""
    return yard.commit(f"{path}: {text}", files={path: text})


def record(yard: GitRepo, text: str) -> str:
    """A commit that touches a record only."""
    return yard.commit(f"record {text}", files={f"records/2026/T-{text}.toml": text})


def read(yard: GitRepo, model: str = "pb") -> Labels:
    """The labels of the model on main."""
    with yard.acting(), open_repository(yard.root) as repo:
        return labels(repo, model, "main")


def course(found: Labels) -> list[str | None]:
    """The labels of the revisions, oldest first."""
    return [found.of(commit.id) for commit in reversed(found.revisions)]


def test_revisions_count_from_the_last_release(yard: GitRepo) -> None:
    a, b = edit(yard, "a"), edit(yard, "b")
    yard.tag("pb/r1")
    c, d = edit(yard, "c", "materials/x.toml"), edit(yard, "d", "prices.toml")
    yard.tag("pb/r2")
    e = edit(yard, "e")
    found = read(yard)
    assert course(found) == [None, "r1", "r1+1", "r2", "r2+1"]
    assert [found.commit(label) for label in ("r1", "r1+1", "r2", "r2+1")] == [b, c, d, e]
    assert found.commit("pb/r2") == d
    assert found.commit("pb/r1+1") == c
    assert found.commit("r1+2") == d, "a label noted down before the release stays good"
    for unknown in ("r3", "r1+3", "r2+2", "r0", "r01", "r1+0", "other/r1", "r1 ", "R1", "", "r", a):
        assert found.commit(unknown) is None
    assert [release.label for release in found.releases] == ["r1", "r2"]
    assert found.latest is not None
    assert (found.latest.label, found.latest.commit, found.latest.on_main) == ("r2", d, True)


def test_only_what_the_model_is_made_of_makes_a_revision(yard: GitRepo) -> None:
    edit(yard, "a")
    before = record(yard, "AAAAAA")
    tagged = record(yard, "BBBBBB")
    yard.tag("pb/r1")
    after = record(yard, "CCCCCC")
    edit(yard, "other", "models/other/deck/a.toml")
    yard.git("update-index", "--chmod=+x", ZONE)
    yard.commit("a file mode is no content", "README.md", files={"README.md": "x"})
    last = edit(yard, "b")
    found = read(yard)
    assert course(found) == ["r1", "r1+1"]
    assert [found.of(commit) for commit in (before, tagged, after)] == ["r1", "r1", "r1"]
    assert found.commit("r1") == tagged
    revision = found.revision(after)
    assert revision is not None
    assert revision.message == f"{ZONE}: a"
    assert found.revision("1" * 40) is None
    assert found.of(last) == "r1+1"
    assert course(read(yard, "other")) == [None]


def test_content_that_returns_takes_its_release_s_label_again(yard: GitRepo) -> None:
    edit(yard, "a")
    yard.tag("pb/r1")
    edit(yard, "b")
    yard.tag("pb/r2")
    back = edit(yard, "a")
    c = edit(yard, "c")
    found = read(yard)
    assert course(found) == ["r1", "r2", "r1", "r2+2"]
    assert found.commit("r2+1") == back
    assert found.commit("r2+2") == c
    assert found.commit("r1+1") == found.commit("r2")
    edit(yard, "b")
    yard.tag("pb/r3")
    edit(yard, "b2")
    edit(yard, "b")
    assert course(read(yard)) == ["r1", "r2", "r1", "r2+2", "r3", "r3+1", "r3"]


def test_content_is_equal_only_where_every_file_is(yard: GitRepo) -> None:
    edit(yard, "a")
    yard.tag("pb/r1")
    edit(yard, "x", "materials/x.toml")
    yard.git("rm", "-q", "materials/x.toml")
    yard.commit("taken back")
    yard.git("mv", ZONE, "models/pb/deck/flange.toml")
    yard.commit("renamed")
    yard.git("mv", "models/pb/deck/flange.toml", ZONE)
    yard.commit("and back")
    yard.git("mv", ZONE, "attic.toml")
    yard.commit("moved out of the model")
    assert course(read(yard)) == ["r1", "r1+1", "r1", "r1+3", "r1", "r1+5"]


def test_lightweight_tags_and_tags_of_other_models_release_nothing(yard: GitRepo) -> None:
    edit(yard, "a")
    yard.git("tag", "pb/r1")
    yard.tag("other/r1")
    yard.tag("pb/v1")
    yard.tag("pb/r1a")
    found = read(yard)
    assert course(found) == [None]
    assert found.releases == ()
    assert found.latest is None
    assert found.commit("r1") is None


def test_a_merge_is_one_revision_and_its_branch_has_no_labels(yard: GitRepo) -> None:
    edit(yard, "a")
    yard.tag("pb/r1")
    yard.branch("change/C-AAAAAA")
    inside = [edit(yard, "b"), edit(yard, "c")]
    yard.checkout("main")
    record(yard, "AAAAAA")
    merge = yard.merge("change/C-AAAAAA")
    yard.branch("feature")
    off = edit(yard, "off")
    found = read(yard)
    assert course(found) == ["r1", "r1+1"]
    assert found.of(merge) == "r1+1"
    assert [found.of(commit) for commit in (*inside, off)] == [None, None, None]


def test_a_release_off_main_is_known_but_counts_for_nothing(yard: GitRepo) -> None:
    edit(yard, "a")
    yard.tag("pb/r1")
    yard.branch("elsewhere")
    off = edit(yard, "b")
    yard.tag("pb/r2")
    yard.checkout("main")
    edit(yard, "c")
    edit(yard, "b")
    found = read(yard)
    assert course(found) == ["r1", "r1+1", "r1+2"]
    assert [(release.label, release.on_main) for release in found.releases] == [("r1", True), ("r2", False)]
    assert found.commit("r2") == off
    assert found.of(off) is None
    assert found.commit("r2+1") is None
    assert found.latest is not None
    assert found.latest.label == "r1"


@pytest.mark.parametrize(
    ("meanwhile", "expected"), [(None, ["r1", "r2", "r2+1"]), ("p", ["r1", "r1+1", "r2+1", "r2+2"])]
)
def test_a_release_made_on_a_branch_counts_from_its_merge(
    yard: GitRepo, meanwhile: str | None, expected: list[str]
) -> None:
    edit(yard, "a")
    yard.tag("pb/r1")
    yard.branch("fix")
    tagged = edit(yard, "b")
    yard.tag("pb/r2")
    yard.checkout("main")
    record(yard, "AAAAAA")
    if meanwhile:
        edit(yard, meanwhile, "prices.toml")
    yard.merge("fix")
    last = edit(yard, "d")
    found = read(yard)
    assert course(found) == expected
    assert found.of(tagged) == "r2"
    assert found.commit("r2") == tagged
    assert found.commit(expected[-1]) == last
    assert all(release.on_main for release in found.releases)


def test_a_release_whose_branch_came_back_to_main_s_content_counts_from_there(yard: GitRepo) -> None:
    edit(yard, "a")
    yard.tag("pb/r1")
    yard.branch("trial")
    edit(yard, "b")
    yard.tag("pb/r2")
    edit(yard, "a")
    yard.checkout("main")
    record(yard, "AAAAAA")
    merge = yard.merge("trial")
    edit(yard, "c")
    found = read(yard)
    assert course(found) == ["r1", "r2+1"]
    assert found.of(merge) == "r1"


def test_the_higher_of_two_releases_of_the_same_content_wins(yard: GitRepo) -> None:
    edit(yard, "a")
    yard.tag("pb/r1")
    record(yard, "AAAAAA")
    yard.tag("pb/r2")
    edit(yard, "b")
    found = read(yard)
    assert course(found) == ["r2", "r2+1"]
    assert found.commit("r1") == yard.head("HEAD~2")


def test_labels_win_over_a_branch_of_that_name(yard: GitRepo) -> None:
    released = edit(yard, "a")
    yard.tag("pb/r1")
    edit(yard, "b")
    yard.git("branch", "r1")
    yard.git("branch", "pb/r1")
    found = read(yard)
    assert found.commit("r1") == found.commit("pb/r1") == released


def test_a_shallow_clone_counts_from_what_it_has(yard: GitRepo) -> None:
    edit(yard, "a")
    yard.tag("pb/r1")
    edit(yard, "b")
    yard.tag("pb/r2")
    edit(yard, "c")
    edit(yard, "b")
    shallow = yard.clone("shallow", "--depth=3")
    deeper = yard.clone("one", "--depth=1")
    assert course(read(shallow)) == ["r2", "r2+1", "r2"]
    assert course(read(deeper)) == [None]


def test_no_main_no_labels(yard: GitRepo) -> None:
    found = read(yard)
    assert (found.main, found.revisions, found.releases, found.latest) == (None, (), (), None)
    yard.git("checkout", "--quiet", "--orphan", "trunk")
    edit(yard, "a")
    yard.tag("pb/r1")
    found = read(yard)
    assert (found.revisions, [release.on_main for release in found.releases]) == ((), [False])


def test_many_labels_cost_few_processes(yard: GitRepo, monkeypatch: pytest.MonkeyPatch) -> None:
    for n in range(1, 6):
        edit(yard, str(n))
        yard.tag(f"pb/r{n}")
        edit(yard, f"{n} and more")
    calls: list[str] = []
    run = Repository.run

    def counted(self: Repository, *args: str, stdin: bytes | None = None) -> Answer:
        calls.append(args[0])
        return run(self, *args, stdin=stdin)

    with yard.acting(), open_repository(yard.root) as repo:
        monkeypatch.setattr(Repository, "git", lambda *args: counted(*args).out)
        refs = read_refs(repo, "main")
        commits = walk(repo, refs.main or "")
        for model in ("pb", "other"):
            labels(repo, model, "main", refs=refs, commits=commits)
    assert len(calls) == 2
