"""A command killed before any of its calls of git: nothing acknowledged is lost, and what is left is named."""

from pathlib import Path

import pytest

from tests.faults.commands import Prepared, prepared
from tests.faults.processes import Processes
from tests.faults.stories import STORIES, Story, commits, in_order
from tests.journeys.yard import Yard

WRITING = 10  # the calls of git at the end of a command in which it may leave something


@pytest.mark.parametrize(
    "story", [s for s in STORIES if s.name in ("log", "approve", "reject")], ids=lambda s: s.name
)
def test_killed_at_the_calls_of_git_that_write(started: Processes, story: Story, tmp_path: Path) -> None:
    calls = calls_of(fresh(tmp_path, "whole"), started, story)
    for number in (1, calls // 2, *range(calls - WRITING, calls + 1)):
        killed(fresh(tmp_path, str(number)), started, story, number)


def fresh(folder: Path, name: str) -> Prepared:
    """A yard of its own."""
    (folder / name).mkdir()
    return prepared(folder / name)


def calls_of(one: Prepared, started: Processes, story: Story) -> int:
    """How often a command calls git."""
    run = story.start(started, one, count=True)
    assert run.ended().status == 0
    return run.calls


def killed(one: Prepared, started: Processes, story: Story, number: int) -> None:
    """One command killed before one of its calls of git; then named, taken away, and done again."""
    before = commits(one.yard)
    assert story.start(started, one, kill=number).ended().status is None
    is_done = commits(one.yard) > before
    assert one.yard.repo.run("fsck", "--connectivity-only", "--no-dangling").returncode == 0
    take_away(one.yard)
    in_order(one.yard)
    again = story.start(started, one).ended()
    assert again.status == (1 if is_done and not story.twice else 0), again.err
    assert "note:" not in again.err
    assert commits(one.yard) == before + (2 if is_done and story.twice else 1)
    in_order(one.yard)


def take_away(yard: Yard) -> None:
    """Everything that lies here and is not on main is named, by `check`, `audit` and a command that writes."""
    lying = {
        line[3:] for line in yard.repo.git("status", "--porcelain", "--untracked-files=all").splitlines()
    }
    notes = [note for note in yard("check", "--json").json["notes"] if note["code"] == "left-lying"]
    assert {note["file"] for note in notes} == lying
    notices = yard("audit", "--json").json["notices"]
    assert {notice["subject"] for notice in notices if notice["rule"] == "left-lying"} == lying
    said = yard("hull", "add", "009", "--revision", "r2", "--dry-run").err
    assert all(f"note: {path}: " in said for path in lying)
    for note in notes:
        command = (
            note["hint"].split("away: ")[1]
            if "away: " in note["hint"]
            else note["hint"].split("away with ")[1]
        )
        if command.startswith("git "):
            yard.repo.git(*command.split()[1:])
        else:
            (yard.root / command.removeprefix("rm ")).unlink()
