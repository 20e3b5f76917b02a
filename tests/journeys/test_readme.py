"""The README tells the truth: its outputs are those of the program, its commands are those of CI."""

from pathlib import Path

import pytest

from tests.journeys.gitrepo import environment, neutral_environment
from tests.journeys.readme import README, printed, shown_blocks

TEXT = README.read_text(encoding="utf-8")


@pytest.mark.parametrize(("args", "shown"), list(shown_blocks(TEXT)), ids=lambda value: value[:40])
def test_a_shown_output_is_what_the_command_prints(args: str, shown: str, example: Path) -> None:
    with environment(neutral_environment(example.parent / "home")):
        assert printed(args, example) == shown, "refresh it with `python -m tests.journeys.readme`"


def test_the_tour_shows_something() -> None:
    assert len(list(shown_blocks(TEXT))) >= 5


def test_the_job_stands_on_top_and_two_commands_follow() -> None:
    assert TEXT.startswith("# recipe_track\n")
    assert TEXT.index("<!-- demo -->") < TEXT.index("<!-- tests -->") < TEXT.index("## A tour")
