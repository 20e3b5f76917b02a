"""The rules of the house that tools hold: imports, types, lint, and what a quick command may load."""

import subprocess
import sys
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


def test_check_loads_no_numbers_and_no_screens(example: Path) -> None:
    loaded = imported("-C", str(example), "check")
    assert "pydantic" in loaded
    assert not loaded & {"textual", "jinja2", "numpy"}


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
