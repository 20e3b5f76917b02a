"""Reading repositories of every shape, whatever the configuration, the environment and the text typed."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from recipe_track.errors import CallError, Refused, RepositoryError
from recipe_track.history import repository as repository_module
from recipe_track.history.log import merged, walk
from recipe_track.history.objects import read_many, tree
from recipe_track.history.refs import is_ancestor, merge_base, read_refs
from recipe_track.history.repository import create_repository, open_repository, resolve
from recipe_track.history.staging import index_tree
from tests.journeys.gitrepo import GitRepo, environment

ZONE = "models/pb/deck/deck-support.toml"


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    """Two commits: a zone and its material, then a thicker core."""
    repo = GitRepo.create(tmp_path)
    repo.commit("First issue\n\nReason: a start\n", files={ZONE: "t = 15\n", "materials/a.toml": "x = 1\n"})
    repo.commit("Thicker\n\nChange: C-2M9XQ4\nReason: too\n  flexible\n", files={ZONE: "t = 20\n"}, who="ben")
    return repo


def test_a_walk_tells_who_when_why_and_what(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        last, first = walk(repo, "HEAD")
        assert (last.author, last.author_mail, last.date) == (
            "Ben Slip",
            "ben@quay.example",
            "2026-01-01T02:00:00Z",
        )
        assert last.trailers == (("Change", "C-2M9XQ4"), ("Reason", "too flexible"))
        assert last.trailer("reason") == ("too flexible",)
        assert (last.parents, first.parents) == ((first.id,), ())
        (change,) = last.changes
        assert (change.status, change.path, change.old_path) == ("M", ZONE, ZONE)
        contents = read_many(repo, [change.oid or "", change.old_oid or ""])
        assert list(contents.values()) == [b"t = 20\n", b"t = 15\n"]
        assert [(change.status, change.path, change.old_oid) for change in first.changes] == [
            ("A", "materials/a.toml", None),
            ("A", ZONE, None),
        ]


def test_a_tree_holds_recipe_paths_only(yard: GitRepo) -> None:
    yard.commit(
        "more", files={"README.md": "hello", "records/2026/T-7K3QX2.toml": "a", "hulls/014.toml": "b"}
    )
    with yard.acting(), open_repository(yard.root) as repo:
        found = tree(repo, "HEAD")
        assert set(found) == {ZONE, "materials/a.toml", "records/2026/T-7K3QX2.toml", "hulls/014.toml"}
        assert set(tree(repo, "HEAD", ("records",))) == {"records/2026/T-7K3QX2.toml"}
        assert read_many(repo, found.values())[found[ZONE]] == b"t = 20\n"
        assert read_many(repo, []) == {}


def test_many_and_large_blobs_come_back_whole(yard: GitRepo) -> None:
    texts = {f"models/pb/deck/z{n}.toml": f"# {n}\n" + "x" * 3000 for n in range(400)}
    yard.commit("many", files=texts)
    with yard.acting(), open_repository(yard.root) as repo:
        found = tree(repo, "HEAD", ("models/pb/deck",))
        contents = read_many(repo, found.values())
        assert {path: contents[found[path]].decode() for path in texts} == texts


def test_missing_content_is_said(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo, pytest.raises(RepositoryError, match="missing"):
        read_many(repo, ["1" * 40])


def test_a_merge_is_one_step_that_can_be_opened(yard: GitRepo) -> None:
    yard.branch("change/C-AAAAAA")
    brought = yard.commit("on the branch", files={ZONE: "t = 25\n"})
    yard.checkout("main")
    yard.commit("meanwhile", files={"prices.toml": "p = 1\n"})
    merge = yard.merge("change/C-AAAAAA")
    with yard.acting(), open_repository(yard.root) as repo:
        commits = walk(repo, "main")
        assert [commit.message for commit in commits][:2] == ["merge", "meanwhile"]
        assert len(commits) == 4
        assert [(change.status, change.path) for change in commits[0].changes] == [("M", ZONE)]
        assert [commit.id for commit in merged(repo, commits[0])] == [brought]
        assert merged(repo, commits[1]) == ()
        whole = walk(repo, merge, first_parent=False)
        assert {commit.id for commit in whole} >= {brought, merge}
        assert [change.path for change in whole[0].changes] == [ZONE]
        assert len(walk(repo, merge, since=(commits[1].id,))) == 1
        assert len(walk(repo, merge, limit=2)) == 2


def test_a_resolution_made_in_the_merge_itself_is_seen(yard: GitRepo) -> None:
    yard.branch("side")
    yard.commit("side", files={ZONE: "t = 25\n"})
    yard.checkout("main")
    yard.commit("main", files={ZONE: "t = 30\n"})
    assert yard.run("merge", "side").returncode == 1
    yard.commit("resolved by hand", files={ZONE: "t = 27\n"})
    with yard.acting(), open_repository(yard.root) as repo:
        (change,) = walk(repo, "main")[0].changes
        assert read_many(repo, [change.oid or ""]).popitem()[1] == b"t = 27\n"


def test_renames_carry_the_old_path_and_odd_names_survive(yard: GitRepo) -> None:
    new = 'models/pb/deck/Tür \t"stütze".toml'
    yard.git("mv", ZONE, new)
    yard.commit("renamed")
    raw = os.fsencode(yard.root) + b"/models/pb/deck/\xff.toml"
    Path(os.fsdecode(raw)).write_bytes(b"odd")
    yard.commit("a name that is no UTF-8")
    with yard.acting(), open_repository(yard.root) as repo:
        odd, renamed, *_ = walk(repo, "main")
        (change,) = renamed.changes
        assert (change.status, change.path, change.old_path) == ("R", new, ZONE)
        assert change.paths == (new, ZONE)
        path = odd.changes[0].path
        assert path.encode("utf-8", "surrogateescape") == b"models/pb/deck/\xff.toml"
        assert path in tree(repo, "HEAD")


TWISTS = {
    "log.showSignature": "true", "diff.renames": "false", "log.showRoot": "false", "color.ui": "always",
    "log.decorate": "full", "core.abbrev": "4", "core.quotePath": "true", "diff.external": "false",
    "log.mailmap": "true", "format.pretty": "oneline", "log.diffMerges": "off", "diff.relative": "true",
    "log.follow": "true", "i18n.logOutputEncoding": "UTF-16", "diff.orderFile": "/nonexistent",
    "diff.renameLimit": "1", "log.date": "relative", "diff.noprefix": "true", "core.pager": "false",
    "diff.ignoreSubmodules": "all", "tag.sort": "-version:refname", "alias.log": "!false",
}  # fmt: skip


def test_no_configuration_changes_what_is_read(yard: GitRepo) -> None:
    yard.git("mv", ZONE, "models/pb/deck/flange.toml")
    yard.commit("renamed — größer\n\nReason: x\n")
    yard.write(".mailmap", "Someone Else <else@quay.example> <ada@quay.example>\n")
    yard.branch("side")
    yard.commit("side", files={"prices.toml": "p = 2\n"})
    yard.checkout("main")
    yard.merge("side")
    yard.tag("pb/r1")

    def everything() -> object:
        with yard.acting(), open_repository(yard.root / "models") as repo:
            commits = walk(repo, "main")
            return (
                commits,
                merged(repo, commits[0]),
                tree(repo, "main"),
                read_refs(repo, "main"),
                index_tree(repo),
            )

    plain = everything()
    for key, value in TWISTS.items():
        yard.git("config", key, value)
    # a missing order file stops any diff of the user's own git, too
    yard.git("config", "diff.orderFile", str(yard.write("order", "prices.toml\n")))
    assert everything() == plain


FOREIGN = {
    "GIT_DIR": "/nonexistent", "GIT_WORK_TREE": "/nonexistent", "GIT_INDEX_FILE": "/nonexistent",
    "GIT_OBJECT_DIRECTORY": "/nonexistent", "GIT_EXTERNAL_DIFF": "false", "GIT_CONFIG_COUNT": "1",
    "GIT_CONFIG_KEY_0": "log.showRoot", "GIT_CONFIG_VALUE_0": "false", "GIT_ICASE_PATHSPECS": "1",
    "GIT_NAMESPACE": "other", "GIT_COMMON_DIR": "/nonexistent", "GIT_PREFIX": "models/",
    "GIT_PYTHON_REFRESH": "raise",
}  # fmt: skip


def test_no_environment_changes_what_is_read(yard: GitRepo) -> None:
    with yard.acting(), open_repository(yard.root) as repo:
        plain = walk(repo, "main"), tree(repo, "main"), index_tree(repo)
    with environment(yard.env() | FOREIGN), open_repository(yard.root) as repo:
        assert (walk(repo, "main"), tree(repo, "main"), index_tree(repo)) == plain


def test_sub_folders_bare_repositories_and_linked_worktrees_open(yard: GitRepo) -> None:
    linked = yard.worktree("linked", "-b", "other")
    other = linked.commit("elsewhere", files={ZONE: "t = 99\n"})
    bare = yard.clone("bare.git", "--bare")
    of_bare = bare.worktree("of-bare")
    with yard.acting():
        with open_repository(yard.root / "models/pb") as repo:
            assert (repo.root, repo.bare, repo.shallow) == (yard.root, False, False)
            assert resolve(repo, "HEAD") == yard.head()
        with open_repository(linked.root / "models") as repo:
            assert (repo.root, repo.git_dir != repo.common_dir) == (linked.root, True)
            assert repo.common_dir == yard.root / ".git"
            assert resolve(repo, "HEAD") == other
        with open_repository(bare.root) as repo:
            assert (repo.root, repo.bare, repo.git_dir) == (None, True, bare.root)
            assert len(walk(repo, "main")) == 2
        with open_repository(of_bare.root) as repo:
            assert (repo.root, repo.bare) == (of_bare.root, False)


def test_sha256_index_version_4_and_shallow_clones_are_read(tmp_path: Path, yard: GitRepo) -> None:
    modern = GitRepo.create(tmp_path, "--object-format=sha256", name="modern")
    modern.git("config", "feature.manyFiles", "true")
    modern.git("config", "core.splitIndex", "true")
    modern.commit("one", files={ZONE: "t = 15\n"})
    two = modern.commit("two", files={ZONE: "t = 16\n"})
    shallow = yard.clone("shallow", "--depth=1")
    with yard.acting():
        with open_repository(modern.root) as repo:
            assert (repo.object_format, len(walk(repo, "main")), len(two)) == ("sha256", 2, 64)
            assert resolve(repo, "main") == two
            assert index_tree(repo) == tree(repo, "main")
            assert read_many(repo, tree(repo, two).values()).popitem()[1] == b"t = 16\n"
        with open_repository(shallow.root) as repo:
            assert repo.shallow
            (commit,) = walk(repo, "main")
            assert {change.status for change in commit.changes} == {"A"}


@pytest.mark.parametrize(
    "text",
    [
        "", "--output=stolen", "-h", "^HEAD", "HEAD..HEAD", "HEAD^@", "HEAD^!", "no-such", "a\0b",
        "\ud800", "x" * 100_000, "$(touch stolen)", "; touch stolen",
        "--end-of-options", "--all", "1" * 40, "a\nb",
        f"HEAD:{ZONE}", "refs/heads/*", "HEAD:models",
    ],
)  # fmt: skip
def test_hostile_revisions_are_unknown_revisions(yard: GitRepo, text: str) -> None:
    with yard.acting(), open_repository(yard.root) as repo, pytest.raises(CallError, match="no revision"):
        resolve(repo, text)
    assert not (yard.root / "stolen").exists()


def test_the_revisions_people_type_are_resolved(yard: GitRepo) -> None:
    yard.tag("v1")
    head = yard.head()
    with yard.acting(), open_repository(yard.root) as repo:
        for text in (
            "HEAD",
            "main",
            "@",
            "v1",
            head[:8],
            head,
            "main@{0}",
            "@^{/Thicker}",
            ":/Thicker",
            "refs/heads/main",
        ):
            assert resolve(repo, text) == head
        assert resolve(repo, "HEAD~1") == resolve(repo, "v1^")


def test_ancestors_and_merge_bases(yard: GitRepo) -> None:
    base = yard.head()
    yard.branch("side")
    side = yard.commit("side")
    yard.checkout("main")
    main = yard.commit("main")
    yard.git("checkout", "--quiet", "--orphan", "alone")
    alone = yard.commit("alone")
    with yard.acting(), open_repository(yard.root) as repo:
        assert is_ancestor(repo, base, main)
        assert is_ancestor(repo, main, main)
        assert not is_ancestor(repo, side, main)
        assert merge_base(repo, side, main) == base
        assert merge_base(repo, alone, main) is None
        with pytest.raises(RepositoryError):
            is_ancestor(repo, "1" * 40, main)


@pytest.mark.process
def test_the_index_of_a_hook_is_read_and_conflicts_are_refused(yard: GitRepo) -> None:
    yard.write(ZONE, "t = 77\n")
    yard.git("add", ZONE)
    yard.write(ZONE, "t = 78\n")
    seen = yard.root / "seen"
    script = (
        "import os, sys; from recipe_track.history.repository import open_repository\n"
        "from recipe_track.history.objects import read_many\n"
        "from recipe_track.history.staging import index_tree\n"
        "with open_repository('.', index_file=os.environ.get('GIT_INDEX_FILE')) as repo:\n"
        f"    oid = index_tree(repo)[{ZONE!r}]\n"
        f"    open({str(seen)!r}, 'wb').write(read_many(repo, [oid])[oid])\n"
    )
    project, python = Path(__file__).parents[2], sys.executable
    (yard.root / ".git/hooks").mkdir(exist_ok=True)
    hook = yard.write(
        ".git/hooks/pre-commit", f"#!/bin/sh\nPYTHONPATH='{project}' exec '{python}' - <<'E'\n{script}E\n"
    )
    hook.chmod(0o755)
    yard.git("commit", "--quiet", "-m", "staged")
    assert seen.read_bytes() == b"t = 77\n"
    yard.git("commit", "--quiet", "--only", "-m", "only", ZONE)  # git makes a temporary index for this
    assert seen.read_bytes() == b"t = 78\n"
    hook.unlink()
    yard.branch("side", "HEAD~1")
    yard.commit("other", ZONE, files={ZONE: "t = 1\n"})
    yard.run("merge", "main")
    with yard.acting(), open_repository(yard.root) as repo, pytest.raises(Refused) as refused:
        index_tree(repo)
    assert refused.value.details == (ZONE,)


def test_refs_tell_main_releases_and_changes(yard: GitRepo) -> None:
    yard.git("branch", "change/C-2M9XQ4")
    yard.git("branch", "change/not-an-id")
    tag = yard.tag("pb/r1", message="First hull 001\n\nbuilt on the small jig\n")
    yard.git("tag", "pb/r2")
    yard.git("tag", "-a", "-m", "x", "pb/r03")
    yard.git("tag", "-a", "-m", "on a tree", "pb/r4", "HEAD^{tree}")
    clone = yard.clone("clone")
    clone.git("checkout", "--quiet", "--detach")
    clone.git("branch", "--quiet", "-D", "main")
    with yard.acting():
        with open_repository(yard.root) as repo:
            refs = read_refs(repo, "main")
        with open_repository(clone.root) as repo:
            fetched = read_refs(repo, "main")
    (release,) = refs.releases
    assert (release.model, release.n, release.tag, release.commit, release.tag_id) == (
        "pb",
        1,
        "pb/r1",
        yard.head(),
        tag,
    )
    assert release.message == "First hull 001\n\nbuilt on the small jig"
    assert (release.tagger, release.tagger_mail, release.date) == (
        "Ada Quay",
        "ada@quay.example",
        "2026-01-01T03:00:00Z",
    )
    assert [(branch.id, branch.remote, branch.commit) for branch in refs.changes] == [
        ("C-2M9XQ4", None, yard.head())
    ]
    assert [(branch.id, branch.remote) for branch in fetched.changes] == [("C-2M9XQ4", "origin")]
    assert refs.main == fetched.main == yard.head()


def test_an_empty_repository_has_no_main(tmp_path: Path) -> None:
    home = GitRepo.create(tmp_path)
    with home.acting(), open_repository(home.root) as repo:
        assert read_refs(repo, "main").main is None
        assert index_tree(repo) == {}
        with pytest.raises(CallError):
            read_refs(repo, "--all")


def test_what_cannot_be_opened_is_said_kindly(
    tmp_path: Path, yard: GitRepo, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = tmp_path / "plain"
    plain.mkdir()
    with yard.acting():
        for path, words in ((plain, "no git repository"), (tmp_path / "gone", "no folder")):
            with pytest.raises(RepositoryError, match=words), open_repository(path):
                pass
        monkeypatch.setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")
        with (
            pytest.raises(RepositoryError, match="belongs to someone else") as foreign,
            open_repository(yard.root),
        ):
            pass
        assert f"safe.directory {yard.root}" in foreign.value.hint


@pytest.mark.process
@pytest.mark.parametrize(
    ("version", "words"), [("2.30.9", "git 2.30.9 is too old; 2.31"), (None, "git was not found")]
)
def test_no_git_or_an_old_one_is_said_kindly(yard: GitRepo, version: str | None, words: str) -> None:
    tools = yard.root.parent / "tools"
    tools.mkdir()
    if version:  # an old git echoes the option it does not know
        script = (
            f'case "$*" in *version) echo "git version {version}";; *) echo "--path-format=absolute";; esac'
        )
        (tools / "git").write_text(f"#!/bin/sh\n{script}\n")
        (tools / "git").chmod(0o755)
    code = (
        "from recipe_track.errors import RepositoryError\n"
        "from recipe_track.history.repository import open_repository\n"
        "try:\n    open_repository('.').__enter__()\n"
        "except RepositoryError as error:\n    print(error.message)\n"
    )
    env = yard.env() | {"PATH": str(tools), "PYTHONPATH": str(Path(__file__).parents[2])}
    python = os.path.realpath(sys.executable)
    env["PYTHONPATH"] += os.pathsep + os.pathsep.join(sys.path)
    done = subprocess.run(
        [python, "-c", code], cwd=yard.root, env=env, capture_output=True, text=True, check=True
    )
    assert words in done.stdout


def test_closing_leaves_no_process_and_no_open_file(yard: GitRepo) -> None:
    with yard.acting():
        children = Path(f"/proc/self/task/{os.getpid()}/children")
        before = len(list(Path("/proc/self/fd").iterdir())), children.read_text()
        for _ in range(5):
            with open_repository(yard.root) as repo:
                read_many(repo, tree(repo, "HEAD").values())
        assert (len(list(Path("/proc/self/fd").iterdir())), children.read_text()) == before


def test_a_repository_is_started_in_the_machine_s_way_or_plainly(tmp_path: Path) -> None:
    story = GitRepo(tmp_path / "yard", tmp_path / "home")
    with story.acting():
        create_repository(tmp_path / "new yard", "trunk")
        create_repository(tmp_path / "plain", "main", plain=True)
    assert (tmp_path / "new yard/.git/HEAD").read_text() == "ref: refs/heads/trunk\n"
    assert not (tmp_path / "plain/.git/hooks").exists()


def test_only_this_room_imports_git() -> None:
    package = Path(repository_module.__file__).parents[1]
    for file in package.rglob("*.py"):
        text = file.read_text()
        if file.parent.name != "history":
            assert "import git" not in text, file
            assert "from git" not in text, file
        for door in ("shell=", "config_writer", "repo.index.", ".iter_commits("):
            assert door not in text, (file, door)
