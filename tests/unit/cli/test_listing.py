"""The list of all commands says of each what the command says of itself, and loads none of them."""

import subprocess
import sys

import click
import pytest

from recipe_track.cli.main import COMMANDS, cli


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_is_listed_by_its_own_first_paragraph(name: str) -> None:
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    assert command.help is not None
    assert COMMANDS[name][1] == command.help.split("\n\n")[0].replace("\n", " ")


@pytest.mark.process
def test_the_list_loads_neither_models_nor_numbers_nor_git() -> None:
    asked = "import sys; from recipe_track.cli.main import run; run(['--help']); print(*sys.modules, file=sys.stderr)"
    told = subprocess.run((sys.executable, "-c", asked), capture_output=True, text=True, check=True)
    assert "Try:  recipe-track demo" in told.stdout
    assert not {"pydantic", "numpy", "git", "rich", "jinja2", "textual"} & set(told.stderr.split())
