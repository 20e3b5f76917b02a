"""Reading the whole ancestry of main, and the texts of blobs, some of them lost."""

from pathlib import Path

from recipe_track.history.ancestry import Touch, ancestry
from recipe_track.history.repository import open_repository
from recipe_track.history.texts import read_present
from tests.journeys.gitrepo import GitRepo


def test_parents_come_before_children_and_a_merge_is_told_against_its_first_parent(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    root = repo.commit("root", files={"a": "1\n", "b": "1\n"})
    repo.branch("side")
    side = repo.commit("side\n\nChange: C-1", files={"b": "2\n"}, who="ben")
    repo.checkout("main")
    main = repo.commit("main", files={"a": "2\n"})
    merge = repo.merge("side")
    with repo.acting(), open_repository(repo.root) as opened:
        commits = {commit.id: commit for commit in ancestry(opened, merge)}
    assert next(iter(commits)) == root
    assert set(list(commits)[1:3]) == {side, main}
    assert commits[merge].parents == (main, side)
    one, two = repo.git("rev-parse", f"{root}:b"), repo.git("rev-parse", f"{side}:b")
    assert commits[merge].touches == commits[side].touches == (Touch("b", one, two),)
    assert commits[side].trailer("change") == ("C-1",)
    assert commits[side].author_mail == commits[side].committer_mail == "ben@quay.example"
    assert not any(commit.edge for commit in commits.values())


def test_what_is_known_already_is_left_out(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    first = repo.commit("first", files={"a": "1\n"})
    second = repo.commit("second", files={"a": "2\n"})
    with repo.acting(), open_repository(repo.root) as opened:
        assert [commit.id for commit in ancestry(opened, second, since=[first])] == [second]


def test_a_rename_is_a_file_gone_and_a_file_come_and_configuration_changes_nothing(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    repo.commit("root", files={"a": "1\n2\n3\n"})
    repo.git("config", "diff.renames", "copies")
    repo.git("config", "log.showSignature", "true")
    repo.git("config", "log.diffMerges", "combined")
    repo.git("mv", "a", "b")
    tip = repo.commit("moved")
    with repo.acting(), open_repository(repo.root) as opened:
        touches = ancestry(opened, tip)[-1].touches
    assert [(touch.path, bool(touch.before), bool(touch.after)) for touch in touches] == [
        ("a", True, False), ("b", False, True),
    ]  # fmt: skip


def test_a_mode_is_no_edit_and_a_link_is_not_the_file_it_was(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    repo.commit("root", files={"a": "b", "c": "1\n"})
    (repo.root / "a").unlink()
    (repo.root / "a").symlink_to("b")
    (repo.root / "c").chmod(0o755)
    tip = repo.commit("turned")
    with repo.acting(), open_repository(repo.root) as opened:
        (touch,) = ancestry(opened, tip)[-1].touches
    assert (touch.path, touch.after) == ("a", f"link:{touch.before}")


def test_a_shallow_clone_says_where_it_ends(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    for n in range(3):
        repo.commit(f"{n}", files={"a": f"{n}\n"})
    shallow = repo.clone("shallow", "--depth=2")
    with repo.acting(), open_repository(shallow.root) as opened:
        commits = ancestry(opened, shallow.head())
    assert [commit.edge for commit in commits] == [True, False]
    assert [touch.before for touch in commits[0].touches] == [""]


def test_texts_that_are_lost_are_left_out(tmp_path: Path) -> None:
    repo = GitRepo.create(tmp_path)
    repo.commit("root", files={"a": "1\n", "b": ""})
    one, empty, tree = (repo.git("rev-parse", f"HEAD:{path}") for path in ("a", "b", ""))
    with repo.acting(), open_repository(repo.root) as opened:
        found = read_present(opened, [one, "0" * 39 + "1", empty, tree, f"link:{one}", one])
        assert read_present(opened, []) == {}
    assert found == {one: b"1\n", empty: b""}
