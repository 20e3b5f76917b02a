"""The rules of the house that tools hold: imports, types, lint, and what a quick command may load."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def run(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize(
    "command",
    [
        ("ruff", "check", "--no-cache"),
        ("ruff", "format", "--check", "--no-cache"),
        ("mypy",),
    ],
    ids=["lint", "format", "types"],
)
def test_tools_find_nothing(command: tuple[str, ...]) -> None:
    result = run(*command)
    assert result.returncode == 0, result.stdout + result.stderr


def test_imports_run_one_way() -> None:
    script = "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))"
    result = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert result.returncode == 0, result.stdout + result.stderr


def imported(*command: str) -> set[str]:
    """Top-level modules that a run of the program loads."""
    script = (
        f"import sys; sys.argv = ['recipe-track', *{command!r}]\n"
        "from recipe_track.__main__ import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "print('\\n'.join(sys.modules), file=sys.stderr)"
    )
    result = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return {name.split(".")[0] for name in result.stderr.split()}


def test_version_loads_next_to_nothing() -> None:
    assert not imported("--version") & {"textual", "jinja2", "numpy", "git", "click", "pydantic", "rich"}


def test_check_loads_no_screens_and_for_a_hook_no_numbers(example: Path) -> None:
    loaded = imported("-C", str(example), "check", "--staged")
    assert "pydantic" in loaded
    assert not loaded & {"textual", "jinja2", "numpy"}
    assert not imported("-C", str(example), "check") & {"textual", "jinja2"}


@pytest.mark.parametrize(
    ("library", "rooms"),
    [
        ("git", {"history"}),
        ("textual", {"tui"}),
        ("click", {"cli"}),
        ("numpy", {"mechanics", "figures"}),
        ("pydantic", {"recipe", "textfiles"}),
        ("jinja2", {"present"}),
    ],
)
def test_a_library_stays_in_its_rooms(library: str, rooms: set[str]) -> None:
    package = ROOT / "recipe_track"
    users = {
        path.relative_to(package).parts[0]
        for path in package.rglob("*.py")
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.strip().startswith((f"import {library}", f"from {library}"))
    }
    assert users == rooms


PLUMBING = {
    "cat-file", "commit-tree", "config", "diff-files", "diff-index", "diff-tree", "fast-import", "for-each-ref",
    "hash-object", "log", "ls-files", "ls-tree", "merge-base", "merge-file", "merge-tree", "read-tree", "rev-list",
    "rev-parse", "show-ref", "stripspace", "symbolic-ref", "update-index", "update-ref", "verify-tag", "worktree",
    "write-tree",
}  # fmt: skip


def git_calls(source: str) -> Iterator[int]:
    """Lines that run git, whatever the repository is called there, or start any other program."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import | ast.ImportFrom):
            names = {node.module} if isinstance(node, ast.ImportFrom) else {one.name for one in node.names}
            if names & {"subprocess", "recipe_track.history.process"}:
                yield node.lineno
        if not isinstance(node, ast.Call):
            continue
        called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        words = {one.value for one in ast.walk(node) if isinstance(one, ast.Constant)}
        of_an_object = isinstance(node.func, ast.Attribute) and called == "run"
        runs_git = of_an_object and (node.args or words & PLUMBING)  # the app of the screens runs, too
        if runs_git or called in ("git", "run_git", "run_anywhere", "system", "popen", "execute"):
            yield node.lineno


@pytest.mark.parametrize(
    "source",
    [
        'ws.repo.run("cat-file", "-e", commit)',
        'repo.git("rev-parse", "HEAD")',
        "self._repo.git(*args)",
        "repo.run(*args)",
        "run_anywhere(folder, 'merge-file')",
        "import subprocess",
        "from recipe_track.history.process import run_git",
    ],
)
def test_a_call_of_git_is_seen(source: str) -> None:
    assert list(git_calls(source)) == [1]


def test_git_is_called_in_history_alone() -> None:
    """Elsewhere git is asked by a named question of history/, never by a command."""
    package = ROOT / "recipe_track"
    calls = [
        f"{path.relative_to(package)}:{line}"
        for path in sorted(package.rglob("*.py"))
        if path.relative_to(package).parts[0] != "history"
        for line in git_calls(path.read_text(encoding="utf-8"))
    ]
    assert calls == []


WORDING = re.compile(r"\bin \w*answer\.err|\.err\.(?:startswith|endswith|find|count)|re\.\w+\([^)]*\.err")


def test_the_words_of_git_are_read_in_one_place() -> None:
    package = ROOT / "recipe_track"
    readers = {
        path.relative_to(package).as_posix()
        for path in package.rglob("*.py")
        if WORDING.search(path.read_text(encoding="utf-8"))
    }
    assert readers == set()
    users = {
        path.relative_to(package).parts[0]
        for path in package.rglob("*.py")
        if "recipe_track.history.wording" in path.read_text(encoding="utf-8")
    }
    assert users == {"history"}
