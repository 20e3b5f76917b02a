"""A hull that goes through something, told by commands: planned, laid, seen, changed, weighed."""

from dataclasses import dataclass
from pathlib import Path

from tests.journeys.yard import Yard, new_yard, thicken

SETTINGS = 'format = 1\nyard = "Quay Yard"\nmain_branch = "main"\n'


@dataclass
class HullStory:
    """The yard, and the ids of what was put on record of hull 001."""

    yard: Yard
    severe: str
    mild: str
    change: str


def planned_yard(folder: Path) -> Yard:
    """A first issue released as r1 and hull 001 planned to it."""
    yard = new_yard(folder, settings=SETTINGS, hull=False)
    assert yard("release", "demo", "--from-hull", "001").id == "r1"
    assert yard("hull", "add", "001", "--revision", "r1", "--on", "2026-01-05").id == "001"
    return yard


def move(yard: Yard, state: str, on: str, *more: str, who: str = "ada") -> str:
    """A step of the deck of hull 001."""
    return yard(
        "hull", "part", "001", "--part", "deck", "--state", state, "--on", on, *more, who=who
    ).id  # fmt: skip


def log(yard: Yard, severity: int, observation: str, on: str) -> str:
    """An observation on the side deck of hull 001."""
    return yard(
        "trial", "log", "--hull", "001", "--zone", "deck/side", "--observation", observation,
        "--severity", str(severity), "--text", f"{observation} seen from below", "--on", on,
    ).id  # fmt: skip


def hull_story(folder: Path) -> HullStory:
    """Hull 001: its deck is laid, sounds hollow, and lacks the change that came after."""
    yard = planned_yard(folder)
    move(yard, "in-mould", "2026-01-07")
    move(yard, "demoulded", "2026-01-09", "--note", "came off clean", who="ben")
    severe = log(yard, 4, "delamination", "2026-01-10")
    mild = log(yard, 2, "noise", "2026-01-11")
    thicken(yard)
    change = yard.change("--trial", mild)
    return HullStory(yard, severe, mild, change)
