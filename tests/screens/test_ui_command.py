"""`ui` needs a terminal and says so; other commands do not load the screens."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from recipe_track.cli.main import cli, run
from recipe_track.tui.session import open_session


def test_without_a_terminal_it_is_refused_with_the_way_out(
    example: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["-C", str(example), "ui", "r3", "r4"]) == 2
    assert "recipe-track compare" in capsys.readouterr().err


def test_the_help_names_both_revisions() -> None:
    shown = CliRunner().invoke(cli, ["ui", "--help"])
    assert "[BEFORE] [AFTER]" in shown.output


def test_the_command_is_known_without_loading_the_screens() -> None:
    code = "import sys; import recipe_track.cli.compare; print('textual' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_a_folder_that_may_not_be_read_ends_no_look(example: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    session = open_session(example, None)
    readable = session.stamps()

    def closed(folder: Path) -> Iterator[Path]:
        if folder.name == "deck":
            raise PermissionError(13, "Permission denied", str(folder))
        return folders(folder)

    folders = Path.iterdir
    monkeypatch.setattr(Path, "iterdir", closed)
    assert session.stamps() < readable
