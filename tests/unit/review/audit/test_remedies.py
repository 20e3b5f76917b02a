"""What a finding says to do can be done: its commands and their options are there, its rule has a place."""

import contextlib
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from recipe_track.cli.main import run
from recipe_track.review import audit
from recipe_track.review.audit.finding import WORST_FIRST

SOURCES = sorted(Path(audit.__file__).parent.glob("*.py"))
JOURNEYS = sorted(Path(__file__).parents[3].glob("journeys/test_*.py"))
COMMAND = re.compile(r"`((?:action|change|deviation|hull|record|trial) [a-z]+)([^`]*)`")


def commands() -> Iterator[tuple[str, str]]:
    """Commands with their options, as the remedies write them."""
    for source in SOURCES:
        yield from COMMAND.findall(source.read_text("utf-8"))


def help_of(command: str) -> str:
    out = io.TextIOWrapper(io.BytesIO(), "utf-8", write_through=True)
    with contextlib.redirect_stdout(out):
        assert run([*command.split(), "--help"]) == 0, command
    out.seek(0)
    return out.read()


@pytest.mark.parametrize("command", sorted({command for command, _ in commands()}))
def test_the_commands_of_remedies_are_there_with_their_options(command: str) -> None:
    options = {o for named, rest in commands() if named == command for o in re.findall(r"--[a-z-]+", rest)}
    said = help_of(command)
    assert [option for option in options if f"{option} " not in said] == []


@pytest.mark.parametrize("rule", WORST_FIRST)
def test_every_rule_is_told_by_the_audit_and_played_in_a_journey(rule: str) -> None:
    """Each of these journeys goes on until the finding is ended."""
    assert any(f'"{rule}"' in source.read_text("utf-8") for source in SOURCES if source.name != "finding.py")
    assert any(f'"{rule}"' in journey.read_text("utf-8") for journey in JOURNEYS)
