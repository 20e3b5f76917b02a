"""Commits on main from any work tree: only their own files, and everyone's work in progress untouched."""

import shutil
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from recipe_track.errors import CallError, Refused, RepositoryError
from recipe_track.history import commit_to_main as commits_module
from recipe_track.history import worktrees as worktrees_module
from recipe_track.history.commit_to_main import commit_record
from recipe_track.history.log import walk
from recipe_track.history.objects import read_files
from recipe_track.history.people import compose, identity
from recipe_track.history.repository import Repository, open_repository
from tests.journeys.gitrepo import GitRepo, environment, neutral_environment

ZONE = "models/pb/deck/deck-support.toml"
RECORD = "records/2026/T-7K3QX2.toml"
TEXT = b'kind = "trial"\n'


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    """A repository with some files on main."""
    repo = GitRepo.create(tmp_path)
    files = {
        path: f"{path}\n" for path in (ZONE, "prices.toml", "a", "b", "c", "d", "e", "f", "hulls/014.toml")
    }
    repo.commit("First issue", files=files)
    return repo


def make_busy(yard: GitRepo) -> None:
    """Every kind of work in progress at once."""
    yard.write("a", "staged\n")
    yard.git("add", "a")
    yard.write("b", "unstaged\n")
    yard.write("c", "staged\n")
    yard.git("add", "c")
    yard.write("c", "and edited again\n")
    yard.git("rm", "--quiet", "d")
    (yard.root / "e").unlink()
    yard.git("mv", "f", "moved")
    yard.write("untracked", "untracked\n")
    yard.write("records/2026/T-AAAAAA.toml", "someone else's draft\n")
    yard.write("added", "x\n")
    yard.git("add", "--intent-to-add", "added")
    yard.write(ZONE, "t = 99\n")


def record(
    yard: GitRepo, path: str = RECORD, text: bytes = TEXT, who: str = "ben", at: Path | None = None
) -> str:
    """Put a record on main as someone."""
    with yard.acting(who), open_repository(at or yard.root) as repo:
        return commit_record(repo, "main", {path: text}, "Log a trial\n\nTrial: T-7K3QX2\n")


def check_record(yard: GitRepo, commit: str, parent: str) -> None:
    """The commit is main's tip, holds the record alone, and tells who wrote it."""
    assert yard.head("refs/heads/main") == commit
    assert yard.head(f"{commit}^") == parent
    assert yard.git("diff-tree", "-r", "--name-status", "--no-commit-id", commit) == f"A\t{RECORD}"
    assert yard.show(commit, RECORD) == TEXT
    assert yard.git("log", "-1", "--format=%an %ae %cn %B", commit) == (
        "Ben Slip ben@quay.example Ben Slip Log a trial\n\nTrial: T-7K3QX2\n"
    )


def test_main_checked_out_here(yard: GitRepo) -> None:
    make_busy(yard)
    before, parent = yard.state(), yard.head()
    commit = record(yard)
    check_record(yard, commit, parent)
    assert yard.state(without=[RECORD]) == before
    assert (yard.root / RECORD).read_bytes() == TEXT
    assert yard.git("status", "--porcelain", "--", RECORD) == ""
    yard.git("commit", "--quiet", "--all", "-m", "the next commit", who="ada")
    assert yard.show("HEAD", RECORD) == TEXT
    assert yard.show("HEAD", "a") == b"staged\n"


def test_another_branch_checked_out(yard: GitRepo) -> None:
    parent = yard.head()
    yard.branch("feature")
    make_busy(yard)
    before = yard.state()
    check_record(yard, record(yard), parent)
    assert yard.state() == before
    assert yard.head() == parent


def test_main_in_a_linked_worktree_and_the_call_from_another(yard: GitRepo) -> None:
    parent = yard.head()
    yard.branch("feature")
    linked = yard.worktree("linked worktree", "main")
    make_busy(yard)
    make_busy(linked)
    before, there = yard.state(), linked.state()
    check_record(yard, record(yard, at=yard.root / "models"), parent)
    assert yard.state() == before
    assert linked.state(without=[RECORD]) == there
    linked.git("commit", "--quiet", "--all", "-m", "the next commit")
    assert linked.show("HEAD", RECORD) == TEXT


def apart(yard: GitRepo) -> GitRepo:
    return yard.clone("apart", "--separate-git-dir", str(yard.root.parent / "apart.git"))


def submodule(yard: GitRepo) -> GitRepo:
    outer = GitRepo.create(yard.root.parent, name="outer")
    outer.git("-c", "protocol.file.allow=always", "submodule", "--quiet", "add", yard.root.as_uri(), "yard")
    return GitRepo(outer.root / "yard", yard.home, yard.clock)


@pytest.mark.parametrize("made", [apart, submodule])
def test_the_git_directory_lies_elsewhere(yard: GitRepo, made: Callable[[GitRepo], GitRepo]) -> None:
    tree = made(yard)
    make_busy(tree)
    before, parent = tree.state(), tree.head()
    check_record(tree, record(tree), parent)
    assert tree.state(without=[RECORD]) == before
    assert (tree.root / RECORD).read_bytes() == TEXT
    assert not list(tree.root.parent.rglob("modules/yard/records")), "nothing lies in the git directory"
    tree.git("commit", "--quiet", "--all", "-m", "the next commit")
    assert tree.show("HEAD", RECORD) == TEXT


def test_two_work_trees_stand_in_main(yard: GitRepo) -> None:
    parent = yard.head()
    linked = yard.worktree("linked", "--force", "main")
    make_busy(linked)
    there = linked.state()
    check_record(yard, record(yard), parent)
    assert linked.state(without=[RECORD]) == there
    assert (yard.git("status", "--porcelain"), (linked.root / RECORD).read_bytes()) == ("", TEXT)


def test_bare_and_sha256_repositories(yard: GitRepo, tmp_path: Path) -> None:
    bare = yard.clone("bare.git", "--bare")
    check_record(bare, record(bare), yard.head())
    modern = GitRepo.create(tmp_path, "--object-format=sha256", name="modern")
    first = modern.commit("First issue", files={"a": "a\n", "b": "b\n"})
    make = modern.root / "b"
    make.write_text("unstaged\n")
    check_record(modern, record(modern), first)
    assert modern.git("status", "--porcelain") == " M b"


def test_the_first_commit_of_all(tmp_path: Path) -> None:
    empty = GitRepo.create(tmp_path)
    empty.write("notes", "mine\n")
    commit = record(empty)
    assert empty.head("main") == commit
    assert empty.git("status", "--porcelain") == "?? notes"


def test_a_detached_or_unborn_head_does_not_matter_but_main_must_exist(yard: GitRepo) -> None:
    parent = yard.head()
    yard.git("checkout", "--quiet", "--detach")
    check_record(yard, record(yard), parent)
    clone = yard.clone("clone")
    clone.git("checkout", "--quiet", "-b", "feature")
    with pytest.raises(RepositoryError, match="no local branch main"):
        record(clone)


def test_a_file_that_exists_is_changed_in_place(yard: GitRepo) -> None:
    parent = yard.head()
    (yard.root / "hulls/014.toml").chmod(0o640)
    yard.write(ZONE, "t = 99\n")
    commit = record(yard, "hulls/014.toml", b"new\n")
    assert yard.head(f"{commit}^") == parent
    assert (yard.root / "hulls/014.toml").read_bytes() == b"new\n"
    assert yard.git("status", "--porcelain") == f" M {ZONE}"


def edit_file(yard: GitRepo) -> None:
    yard.write("hulls/014.toml", "edited\n")


def stage_edit(yard: GitRepo) -> None:
    edit_file(yard)
    yard.git("add", "hulls/014.toml")


def stage_and_put_back(yard: GitRepo) -> None:
    stage_edit(yard)
    yard.write("hulls/014.toml", "hulls/014.toml\n")


def delete_file(yard: GitRepo) -> None:
    (yard.root / "hulls/014.toml").unlink()


def stage_deletion(yard: GitRepo) -> None:
    yard.git("rm", "--quiet", "--cached", "hulls/014.toml")


def link_file(yard: GitRepo) -> None:
    delete_file(yard)
    (yard.root / "hulls/014.toml").symlink_to(yard.root / "a")


def link_folder(yard: GitRepo) -> None:
    (yard.root / "hulls").rename(yard.root.parent / "elsewhere")
    (yard.root / "hulls").symlink_to(yard.root.parent / "elsewhere")


@pytest.mark.parametrize(
    "edit", [edit_file, stage_edit, stage_and_put_back, delete_file, stage_deletion, link_file, link_folder]
)
def test_refused_where_the_path_itself_is_edited(yard: GitRepo, edit: Callable[[GitRepo], None]) -> None:
    edit(yard)
    before, parent = yard.state(), yard.head()
    with pytest.raises(Refused, match="other work") as refused:
        record(yard, "hulls/014.toml", b"new\n")
    assert refused.value.details == ("hulls/014.toml",)
    assert (yard.state(), yard.head()) == (before, parent)
    assert not (yard.root.parent / "elsewhere/014.toml").exists() or edit is link_folder


def test_refused_while_main_is_rebased(yard: GitRepo) -> None:
    yard.branch("feature")
    yard.commit("feature", "a", files={"a": "feature\n"})
    yard.checkout("main")
    yard.commit("main", "a", files={"a": "main\n"})
    assert yard.run("rebase", "feature").returncode == 1
    before, tip = yard.state(), yard.head("refs/heads/main")
    with pytest.raises(Refused, match="being rebased"):
        record(yard)
    assert (yard.state(), yard.head("refs/heads/main")) == (before, tip)
    yard.git("rebase", "--abort")
    record(yard)


def test_a_merge_in_progress_is_no_obstacle(yard: GitRepo) -> None:
    yard.branch("feature")
    yard.commit("feature", "a", files={"a": "feature\n"})
    yard.checkout("main")
    parent = yard.commit("main", "a", files={"a": "main\n"})
    assert yard.run("merge", "feature").returncode == 1
    before = yard.state()
    check_record(yard, record(yard), parent)
    assert yard.state(without=[RECORD]) == before
    yard.write("a", "settled\n")
    yard.git("commit", "--quiet", "--all", "-m", "merged")
    assert yard.show("HEAD", RECORD) == TEXT
    assert len(yard.git("log", "-1", "--format=%P").split()) == 2


def test_a_held_index_lock_is_waited_for(yard: GitRepo) -> None:
    make_busy(yard)
    before, parent = yard.state(), yard.head()
    lock = yard.root / ".git/index.lock"
    lock.touch()
    timer = threading.Timer(0.3, lock.unlink)
    timer.start()
    check_record(yard, record(yard), parent)
    timer.join()
    assert yard.state(without=[RECORD]) == before


def test_an_index_lock_held_too_long_leaves_no_trace(yard: GitRepo, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(worktrees_module, "LOCK_SECONDS", 0.2)
    make_busy(yard)
    before, parent = yard.state(), yard.head()
    (yard.root / ".git/index.lock").touch()
    for path, text in ((RECORD, TEXT), ("hulls/014.toml", b"new\n"), ("records/2025/T-BBBBBB.toml", TEXT)):
        with pytest.raises(Refused, match=r"index\.lock"):
            record(yard, path, text)
    (yard.root / ".git/index.lock").unlink()
    assert (yard.state(), yard.head()) == (before, parent)
    assert not (yard.root / "records/2025").exists()


def racing(
    yard: GitRepo, monkeypatch: pytest.MonkeyPatch, move: Callable[[], object], times: int = 1
) -> None:
    """Have something happen just before the ref is moved, the first few times."""
    move_ref, left = commits_module.move_ref, [move] * times

    def raced(repo: Repository, ref: str, new: str, old: str | None, message: str) -> bool:
        if left:
            left.pop()()
        return move_ref(repo, ref, new, old, message)

    monkeypatch.setattr(commits_module, "move_ref", raced)


@pytest.mark.parametrize("place", ["main", "feature", "bare"])
def test_a_lost_race_is_run_again(yard: GitRepo, monkeypatch: pytest.MonkeyPatch, place: str) -> None:
    where = yard.clone("bare.git", "--bare") if place == "bare" else yard
    if place == "feature":
        yard.branch("feature")
    tree = yard.git("rev-parse", "main^{tree}")
    others: list[str] = []

    def someone_commits() -> None:
        others.append(where.git("commit-tree", tree, "-p", "main", "-m", "in between"))
        where.git("update-ref", "refs/heads/main", others[-1])

    racing(where, monkeypatch, someone_commits, times=3)
    check_record(where, record(where), others[2])
    if place == "main":
        assert where.git("status", "--porcelain") == ""


def test_a_race_against_the_user_s_own_commit_loses_nothing(
    yard: GitRepo, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_busy(yard)
    racing(yard, monkeypatch, lambda: yard.git("commit", "--quiet", "-m", "the user's"))
    commit = record(yard)
    assert commit == yard.head("main"), "the user's commit took the staged record along"
    assert (yard.show("main", RECORD), yard.show("main", "a")) == (TEXT, b"staged\n")
    assert yard.git("log", "-1", "--format=%s", "main") == "the user's"


def test_a_race_that_takes_the_same_path_is_refused(yard: GitRepo, monkeypatch: pytest.MonkeyPatch) -> None:
    make_busy(yard)
    before = yard.state()

    def someone_writes_it_too() -> None:
        linked = yard.worktree("other", "--detach")
        commit = linked.commit("theirs", files={"hulls/014.toml": "theirs\n"})
        linked.git("update-ref", "refs/heads/main", commit)

    racing(yard, monkeypatch, someone_writes_it_too)
    with pytest.raises(Refused, match="has changed meanwhile"):
        record(yard, "hulls/014.toml", b"ours\n")
    assert yard.show("main", "hulls/014.toml") == b"theirs\n"
    after = yard.state()
    assert (after["files"], after["index"]) == (before["files"], before["index"])


def test_a_file_is_not_written_over_a_newer_one_than_was_read(yard: GitRepo) -> None:
    base = yard.head()
    tip = yard.commit("theirs", files={"hulls/014.toml": "theirs\n"})
    with yard.acting(), open_repository(yard.root) as repo:
        with pytest.raises(Refused, match="has changed meanwhile") as refused:
            commit_record(repo, "main", {"hulls/014.toml": b"ours\n"}, "x", base=base)
        assert refused.value.details == ("hulls/014.toml",)
        assert yard.head() == tip
        commit_record(repo, "main", {"hulls/014.toml": b"ours\n", RECORD: TEXT}, "x", base=tip)
    assert yard.show("main", "hulls/014.toml") == b"ours\n"


def test_what_another_git_did_to_the_path_meanwhile_is_told(
    yard: GitRepo, monkeypatch: pytest.MonkeyPatch
) -> None:
    racing(yard, monkeypatch, lambda: yard.git("rm", "--quiet", "--cached", RECORD))
    with yard.acting("ben"), open_repository(yard.root) as repo:
        commit = commit_record(repo, "main", {RECORD: TEXT}, "Log")
        assert (yard.head(), yard.show("main", RECORD)) == (commit, TEXT)
        assert f"{RECORD} in the index" in repo.notes[0]


def test_what_cannot_be_taken_back_is_told(yard: GitRepo, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(commits_module, "SWAP_SECONDS", 0.1)
    monkeypatch.setattr(commits_module, "move_ref", lambda *args: False)

    def fails(*args: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(commits_module, "undo_update", fails)
    with pytest.raises(Refused, match=r"moved on, or was locked.*could not be taken back") as refused:
        record(yard)
    assert RECORD in refused.value.details[0]


def test_giving_up_takes_everything_back(yard: GitRepo, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(commits_module, "SWAP_SECONDS", 0.1)
    monkeypatch.setattr(commits_module, "move_ref", lambda *args: False)
    make_busy(yard)
    before, parent = yard.state(), yard.head()
    for path, text in ((RECORD, TEXT), ("hulls/014.toml", b"new\n")):
        with pytest.raises(Refused, match="moved on, or was locked"):
            record(yard, path, text)
        assert (yard.state(), yard.head()) == (before, parent)


KILLED = """
import os, sys
from recipe_track.history import {module}
from recipe_track.history.commit_to_main import commit_record
from recipe_track.history.repository import open_repository
def killed(*args): os._exit(9)
{module}.{function} = killed
with open_repository(".") as repo:
    commit_record(repo, "main", {{{path!r}: {text!r}}}, "Log a trial")
"""


@pytest.mark.process
@pytest.mark.parametrize(
    ("module", "function"),
    [
        ("worktrees", "write_file"),
        ("worktrees", "set_index"),
        ("commit_to_main", "move_ref"),
        ("commit_to_main", "apply_update"),
    ],
)
def test_a_killed_run_leaves_a_whole_record_or_none_and_can_be_run_again(
    yard: GitRepo, module: str, function: str
) -> None:
    make_busy(yard)
    before, parent = yard.state(), yard.head()
    code = KILLED.format(module=module, function=function, path=RECORD, text=TEXT)
    env = yard.env("ben") | {"PYTHONPATH": str(Path(__file__).parents[2])}
    assert subprocess.run([sys.executable, "-c", code], cwd=yard.root, env=env, check=False).returncode == 9
    assert yard.head() == parent
    assert yard.state(without=[RECORD]) == before
    file = yard.root / RECORD
    assert not file.exists() or file.read_bytes() == TEXT
    check_record(yard, record(yard), parent)
    assert yard.state(without=[RECORD]) == before


@pytest.mark.process
def test_ten_processes_at_once_all_get_their_record_in(yard: GitRepo) -> None:
    code = (
        "import sys\nfrom recipe_track.history.commit_to_main import commit_record\n"
        "from recipe_track.history.repository import open_repository\n"
        "with open_repository('.') as repo:\n"
        "    for n in range(2):\n"
        "        path = f'records/2026/T-{sys.argv[1]}0000{n}.toml'\n"
        "        commit_record(repo, 'main', {path: path.encode()}, path)\n"
    )
    yard.write("b", "unstaged\n")
    env = yard.env("ben") | {"PYTHONPATH": str(Path(__file__).parents[2])}
    runs = [subprocess.Popen([sys.executable, "-c", code, str(n)], cwd=yard.root, env=env) for n in range(5)]
    assert [run.wait() for run in runs] == [0] * 5
    assert yard.git("rev-list", "--count", "main") == "11"
    assert len(yard.git("ls-tree", "--name-only", "main:records/2026").splitlines()) == 10
    assert yard.git("status", "--porcelain") == " M b"


def test_line_ends_and_filters_of_the_work_tree_are_honoured(yard: GitRepo) -> None:
    yard.commit("attributes", files={".gitattributes": "*.toml text eol=crlf\n"})
    yard.git("config", "core.safecrlf", "true")
    record(yard)
    assert yard.show("main", RECORD) == TEXT
    assert (yard.root / RECORD).read_bytes() == TEXT.replace(b"\n", b"\r\n")
    assert yard.git("status", "--porcelain", "--", "records") == ""


def test_a_sparse_checkout_is_no_edit(yard: GitRepo) -> None:
    yard.git("sparse-checkout", "set", "models")
    assert not (yard.root / "hulls/014.toml").exists()
    record(yard, "hulls/014.toml", b"new\n")
    record(yard)
    yard.git("commit", "--quiet", "--allow-empty", "--all", "-m", "next")
    assert (yard.show("main", "hulls/014.toml"), yard.show("main", RECORD)) == (b"new\n", TEXT)


def test_a_work_tree_in_main_that_is_gone_is_ignored_and_one_out_of_reach_refuses(yard: GitRepo) -> None:
    yard.branch("feature")
    linked = yard.worktree("on a stick", "main")
    shutil.rmtree(linked.root)
    tip = record(yard)
    yard.git("worktree", "lock", str(linked.root))
    with pytest.raises(Refused, match="cannot be reached"):
        record(yard, "records/2026/T-BBBBBB.toml")
    assert yard.head("main") == tip


def test_what_is_there_already_is_not_written_again(yard: GitRepo) -> None:
    tip = record(yard)
    with pytest.raises(Refused, match="already"):
        record(yard)
    with pytest.raises(CallError), yard.acting(), open_repository(yard.root) as repo:
        commit_record(repo, "main", {}, "nothing")
    assert yard.head() == tip


@pytest.mark.parametrize(
    "path",
    [
        "../outside", "/etc/passwd", ".git/config", "records/.GIT/x", "records//x", "", "records/./x",
        "a\nb", "a\0b",
        "records\\x", "C:x", "records/\u202egp.toml", "a/../../b", "\ud800",
    ],
)  # fmt: skip
def test_hostile_paths_are_refused(yard: GitRepo, path: str) -> None:
    before, parent = yard.state(), yard.head()
    with pytest.raises(CallError):
        record(yard, path)
    assert (yard.state(), yard.head()) == (before, parent)


def test_a_file_in_the_place_of_a_folder_takes_nothing_away(yard: GitRepo) -> None:
    bare = yard.clone("bare.git", "--bare")
    for where in (bare, yard):
        for path in ("models/pb", "prices.toml/x"):
            with pytest.raises(Refused):
                record(where, path)
    assert bare.head("main") == yard.head()


def test_paths_and_messages_that_look_like_options_are_data(yard: GitRepo) -> None:
    message = "--amend -F /etc/passwd\n\n\x1b[31m; rm -rf . $(touch stolen)\n# no comment\n"
    with yard.acting(), open_repository(yard.root) as repo:
        files = {"-records/--all": b"x", "*": b"y"}
        commit = commit_record(repo, "main", files, message + "a\0b \ud800")
        assert read_files(repo, commit, "-records/--all", "*", "gone") == {"-records/--all": b"x", "*": b"y"}
        assert walk(repo, commit)[0].message == message + "ab ?"
    assert not (yard.root / "stolen").exists()


def test_nobody_known_nothing_written(yard: GitRepo) -> None:
    before, parent = yard.state(), yard.head()
    guessed = {"EMAIL": "guess@quay.example", "LOGNAME": "guess"}  # what git would fall back on
    with environment(neutral_environment(yard.home) | guessed), open_repository(yard.root) as repo:
        with pytest.raises(Refused, match="who you are") as refused:
            commit_record(repo, "main", {RECORD: TEXT}, "x")
        assert "user.name" in refused.value.hint
        assert (yard.state(), yard.head()) == (before, parent)
        yard.git("config", "user.name", "Dee Dock")
        yard.git("config", "user.email", "Dee@quay.example")
        person = identity(repo)
    assert str(person) == "Dee Dock <Dee@quay.example>"
    assert person.is_same_as("dee@QUAY.example")
    with yard.acting("ben"), open_repository(yard.root) as repo:
        assert identity(repo).mail == "ben@quay.example", "the environment comes before the configuration"


def test_composed_messages_cannot_be_forged() -> None:
    hostile = "fine\n\nChange: C-FORGED"
    assert compose("Log\na trial", hostile, [("Reason", f"too\nflexible {hostile}"), ("Change", "")]) == (
        "Log a trial\n\nfine\n\nChange: C-FORGED\n\nReason: too flexible fine Change: C-FORGED\n"
    )
    assert compose("x", hostile) == "x\n\n  fine\n\n  Change: C-FORGED\n"
    assert compose("x") == "x\n"


def test_dates_of_the_environment_are_honoured(yard: GitRepo) -> None:
    dated = yard.env("ben") | {"GIT_AUTHOR_DATE": "2025-05-01T10:00:00Z"}
    with environment(dated), open_repository(yard.root) as repo:
        commit_record(repo, "main", {RECORD: TEXT}, "x")
    assert yard.git("log", "-1", "--format=%aI %ct") == f"2025-05-01T10:00:00+00:00 {yard.clock}"


def test_the_log_shows_records_altered_moved_or_deleted_later(yard: GitRepo) -> None:
    for name in ("T-AAAAAA", "T-BBBBBB", "T-CCCCCC", "T-DDDDDD"):
        record(yard, f"records/2026/{name}.toml", name.encode() * 20)
    yard.commit("an edit", files={"records/2026/T-AAAAAA.toml": "other", ZONE: "x"})
    yard.branch("side")
    yard.git("rm", "--quiet", "records/2026/T-BBBBBB.toml")
    yard.commit("deleted on a branch")
    yard.checkout("main")
    yard.merge("side")
    yard.git("mv", "records/2026/T-CCCCCC.toml", "records/2025-T-CCCCCC.toml")
    yard.commit("moved")
    with yard.acting(), open_repository(yard.root) as repo:
        changes = [(commit, change) for commit in walk(repo, "main") for change in commit.changes]
    altered = [pair for pair in changes if pair[1].status != "A" and pair[1].old_path != ZONE]
    assert [(commit.message, change.status, change.old_path) for commit, change in altered] == [
        ("moved", "R", "records/2026/T-CCCCCC.toml"),
        ("merge", "D", "records/2026/T-BBBBBB.toml"),
        ("an edit", "M", "records/2026/T-AAAAAA.toml"),
    ]
