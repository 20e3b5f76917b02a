"""What `git-setup` plans, writes, leaves alone and takes out again in one clone."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from recipe_track.drivers import setup as program
from recipe_track.drivers.setup import Setup, carry_out, plan_setup
from recipe_track.errors import Refused
from recipe_track.history.repository import open_repository
from tests.journeys.gitrepo import GitRepo

KEYS = {
    "diff.recipe-track.textconv",
    "diff.recipe-track.xfuncname",
    "merge.recipe-track.name",
    "merge.recipe-track.driver",
}
HOOKS = {"pre-merge-commit", "pre-commit", "commit-msg"}
OWN_HOOK = "#!/bin/sh\nexec our-own-check\n"


@pytest.fixture
def yard(tmp_path: Path) -> GitRepo:
    made = GitRepo.create(tmp_path)
    made.commit("First", files={"recipe-track.toml": "format = 1\n"})
    return made


def planned(yard: GitRepo, undo: bool = False) -> Setup:
    with yard.acting(), open_repository(yard.root) as repo:
        return plan_setup(repo, undo)


def set_up(yard: GitRepo, undo: bool = False) -> Setup:
    with yard.acting(), open_repository(yard.root) as repo:
        setup = plan_setup(repo, undo)
        carry_out(repo, setup)
        return setup


def under_git(yard: GitRepo) -> dict[str, bytes]:
    """Everything this clone keeps for itself, objects left out."""
    git = yard.root / ".git" if (yard.root / ".git").is_dir() else yard.root
    return {
        path.relative_to(git).as_posix(): path.read_bytes()
        for path in git.rglob("*")
        if path.is_file() and "objects" not in path.parts
    }


def test_a_plan_writes_nothing(yard: GitRepo) -> None:
    before = under_git(yard)
    setup = planned(yard)
    assert {change.key for change in setup.settings} == KEYS
    assert {file.path.name for file in setup.files} == {"attributes", *HOOKS}
    assert under_git(yard) == before


def test_set_up_twice_and_taken_out_leaves_the_clone_as_it_was(yard: GitRepo) -> None:
    before, work = under_git(yard), yard.state()
    set_up(yard)
    once = under_git(yard)
    assert once != before
    assert set_up(yard) == Setup((), (), ())
    assert under_git(yard) == once
    set_up(yard, undo=True)
    assert under_git(yard) == before
    assert set_up(yard, undo=True) == Setup((), (), ())
    assert yard.state() == work


def test_only_this_clone_is_configured(yard: GitRepo, tmp_path: Path) -> None:
    set_up(yard)
    assert (tmp_path / "home" / "no-gitconfig").read_bytes() == b""
    shown = yard.git("config", "--show-scope", "--get-regexp", "recipe-track").splitlines()
    assert {line.split("\t")[0] for line in shown} == {"local"}
    assert {line.split("\t")[1].split(" ")[0] for line in shown} == KEYS


def test_attributes_of_others_stay(yard: GitRepo) -> None:
    file = yard.root / ".git" / "info" / "attributes"
    file.parent.mkdir(exist_ok=True)
    file.write_text("*.jpg -text")
    set_up(yard)
    assert file.read_text().startswith("*.jpg -text\n# recipe-track: begin")
    said = yard.git("check-attr", "merge", "diff", "text", "--", "models/m/p/z.toml", "hulls/1.toml", "a.jpg")
    assert "models/m/p/z.toml: merge: recipe-track" in said
    assert "models/m/p/z.toml: diff: recipe-track" in said
    assert "hulls/1.toml: merge: unspecified" in said
    assert "a.jpg: text: unset" in said
    file.write_text(f"{file.read_text()}*.png -text\n")
    set_up(yard, undo=True)
    assert file.read_text() == "*.jpg -text\n*.png -text\n"


def test_a_hook_of_someone_else_stays_and_its_line_is_told(yard: GitRepo) -> None:
    hook = yard.root / ".git" / "hooks" / "pre-commit"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text(OWN_HOOK)
    setup = set_up(yard)
    assert hook.read_text() == OWN_HOOK
    assert [(left.path.name, left.lines) for left in setup.left] == [
        ("pre-commit", (program.hook_lines()["pre-commit"],))
    ]
    assert (hook.parent / "commit-msg").exists()
    set_up(yard, undo=True)
    assert hook.read_text() == OWN_HOOK
    assert not (hook.parent / "commit-msg").exists()


def test_links_to_other_files_are_not_followed(yard: GitRepo) -> None:
    """Even where the file behind the link reads like one of ours."""
    set_up(yard)
    behind = yard.root.parent / "behind"
    behind.mkdir()
    for path in (yard.root / ".git/hooks/commit-msg", yard.root / ".git/info/attributes"):
        path.rename(behind / path.name)
        path.symlink_to(behind / path.name)
    before = {path.name: path.read_bytes() for path in behind.iterdir()}
    setup = set_up(yard, undo=True)
    assert {left.path.name for left in setup.left} == {"commit-msg", "attributes"}
    assert {path.name: path.read_bytes() for path in behind.iterdir()} == before
    assert (yard.root / ".git/hooks/commit-msg").is_symlink()


@pytest.mark.parametrize("at", [2, 3])
def test_our_hook_with_a_line_of_someone_else_is_no_longer_ours(yard: GitRepo, at: int) -> None:
    set_up(yard)
    hook = yard.root / ".git" / "hooks" / "pre-commit"
    lines = hook.read_text().splitlines(keepends=True)
    grown = "".join([*lines[:at], "our-own-check\n", *lines[at:]])
    hook.write_text(grown)
    setup = set_up(yard, undo=True)
    assert hook.read_text() == grown
    assert [left.path for left in setup.left] == [hook]


def in_a_shared_folder(yard: GitRepo) -> Path:
    folder = yard.root.parent / "shared-hooks"
    yard.git("config", "core.hooksPath", str(folder))
    return folder


def in_the_tracked_tree(yard: GitRepo) -> Path:
    yard.git("config", "core.hooksPath", "hooks-of-the-yard")
    return yard.root / "hooks-of-the-yard"


def through_a_link(yard: GitRepo) -> Path:
    folder = yard.root.parent / "linked-hooks"
    folder.mkdir()
    (yard.root / ".git" / "hooks").symlink_to(folder)
    return folder


@pytest.mark.parametrize("elsewhere", [in_a_shared_folder, in_the_tracked_tree, through_a_link])
def test_hooks_outside_the_git_directory_are_not_touched(
    yard: GitRepo, elsewhere: Callable[[GitRepo], Path]
) -> None:
    folder = elsewhere(yard)
    setup = set_up(yard)
    assert {left.path.name for left in setup.left} == HOOKS
    assert all(left.lines for left in setup.left)
    assert not folder.exists() or not any(folder.iterdir())
    assert {change.key for change in setup.settings} == KEYS


@pytest.mark.parametrize("undo", [False, True])
def test_hooks_that_are_switched_off_stay_off(yard: GitRepo, undo: bool) -> None:
    yard.git("config", "core.hooksPath", "/dev/null")
    setup = set_up(yard, undo)
    assert {left.path.name for left in setup.left} == (set() if undo else HOOKS)
    assert not any((yard.root / ".git" / "hooks" / name).exists() for name in HOOKS)


def test_a_linked_work_tree_sets_up_the_clone_it_belongs_to(yard: GitRepo) -> None:
    linked = yard.worktree("linked", "-b", "side")
    set_up(linked)
    assert (yard.root / ".git" / "hooks" / "pre-commit").exists()
    assert (yard.root / ".git" / "info" / "attributes").exists()
    assert planned(yard) == Setup((), (), ())


def test_a_bare_repository_gets_drivers_and_no_hooks(yard: GitRepo) -> None:
    bare = yard.clone("bare.git", "--bare")
    before = under_git(bare)
    setup = set_up(bare)
    assert {change.key for change in setup.settings} == KEYS
    assert [file.path.name for file in setup.files] == ["attributes"]
    assert [left.lines for left in setup.left] == [(), (), ()]
    set_up(bare, undo=True)
    assert under_git(bare) == before


def test_a_program_that_moved_is_set_up_anew(yard: GitRepo, monkeypatch: pytest.MonkeyPatch) -> None:
    set_up(yard)
    monkeypatch.setattr(sys, "executable", "/opt/other/python")
    setup = set_up(yard)
    assert {file.path.name for file in setup.files} == HOOKS
    assert "/opt/other/python" in yard.git("config", "merge.recipe-track.driver")
    assert "/opt/other/python" in (yard.root / ".git" / "hooks" / "pre-commit").read_text()


@pytest.mark.parametrize("folder", ["two words", "it's $(touch x)", '`id`;#"', "100%A%"])
def test_a_shell_finds_the_program_wherever_it_lies(
    folder: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stand-in that prints what it was given, called as git does: by a shell, with %A put in and %% halved."""
    stand_in = tmp_path / folder / "python"
    stand_in.parent.mkdir()
    stand_in.write_text('#!/bin/sh\nprintf "%s\\n" "$@"\n')
    stand_in.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(stand_in))
    merging = program.merge_command().replace("%%", "\0")
    for letter in "OABLP":
        merging = merging.replace(f"%{letter}", letter)
    commands = {
        f"{program.textconv_command()} F": ["git-textconv", "F"],
        merging.replace("\0", "%"): ["git-merge", "O", "A", "B", "L", "P"],
        program.hook_lines()["pre-commit"]: ["check", "--staged"],
    }
    for command, given in commands.items():
        done = subprocess.run(["sh", "-c", command], cwd=tmp_path, capture_output=True, text=True, check=True)
        assert done.stdout.splitlines() == ["-P", "-m", "recipe_track", *given]
    assert [path.name for path in tmp_path.iterdir()] == [folder]


def test_a_program_at_no_known_path_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    for path in ("", "/opt/two\nlines/python"):
        monkeypatch.setattr(sys, "executable", path)
        with pytest.raises(Refused):
            program.program()
