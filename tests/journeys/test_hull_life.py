"""What `hull show` says first, and where holds stand beside the sheets."""

from pathlib import Path

import pytest

from tests.journeys.hull_story import HullStory, hull_story, move


@pytest.fixture(scope="module")
def story(tmp_path_factory: pytest.TempPathFactory) -> HullStory:
    """Only for looking."""
    return hull_story(tmp_path_factory.mktemp("story"))


def headings(text: str) -> list[str]:
    return [line for line in text.split("\n") if line and not line.startswith(" ")]


def test_what_stands_open_comes_first(story: HullStory) -> None:
    text = story.yard("hull", "show", "001").out
    assert headings(text) == [
        "hull 001: demo, planned",
        "open observations",
        "changes not built in, and nothing decided for this hull",
        "parts",
        "steps",
        "observations that are answered",
        "This is what the records say; nobody looked at the hull for it.",
    ]
    lines = text.split("\n")
    assert lines[1] == f"  HOLD deck/side: severity 4 observation on hull 001, open ({story.severe})"
    assert story.severe in text.split("open observations")[1].split("changes not built in")[0]
    assert story.change in text.split("nothing decided for this hull")[1].split("\nparts")[0]
    assert story.mild in text.split("observations that are answered")[1]


def test_steps_say_who_moved_what_when(story: HullStory) -> None:
    shown = story.yard("hull", "show", "001", "--json").json
    deck = [step for step in shown["steps"] if step["part"] == "deck"]
    assert [(s["state"], s["on"], s["by"].split(" ")[0]) for s in deck] == [
        ("planned", "2026-01-05", "Ada"),
        ("in-mould", "2026-01-07", "Ada"),
        ("demoulded", "2026-01-09", "Ben"),
    ]
    text = story.yard("hull", "show", "001").out
    assert f"    9 Jan 2026  demoulded, {deck[-1]['by']}, {deck[-1]['id']}\n" in text
    assert "came off clean" in text


def test_layups_come_only_when_asked_for(story: HullStory) -> None:
    short, long = story.yard("hull", "show", "001").out, story.yard("hull", "show", "001", "--layups").out
    assert "pvc-80" not in short
    assert "layups of deck at r1" in long
    assert "pvc-80" in long


@pytest.mark.parametrize(
    "command",
    [
        ("hull", "show", "001"),
        ("bill", "demo"),
        ("bill", "deck"),
        ("why", "deck/side"),
        ("history", "deck/side"),
        ("figures", "deck/side", "--layers"),
        ("sheet", "deck"),
    ],
    ids=" ".join,
)
def test_a_hold_stands_wherever_its_zone_is_shown(story: HullStory, command: tuple[str, ...]) -> None:
    said = story.yard(*command).out
    assert f"HOLD deck/side: severity 4 observation on hull 001, open ({story.severe})" in " ".join(
        said.split()
    )
    assert story.severe in story.yard(*command, "--json").out


def test_a_zone_that_is_not_on_hold_says_none(story: HullStory) -> None:
    for command in (
        ("why", "deck/coaming"),
        ("history", "deck/coaming"),
        ("figures", "deck/coaming", "--layers"),
    ):
        assert "HOLD" not in story.yard(*command).out, command


def test_a_change_carried_out_is_named_with_the_release(tmp_path: Path) -> None:
    """The figures stay those of the release, and say so."""
    told = hull_story(tmp_path)
    yard = told.yard
    mass = yard("hull", "show", "001", "--json").json["parts"][0]["mass_kg"]
    weighed = yard("hull", "weigh", "001", "--part", "deck", "--mass-kg", f"{mass}", "--state", "trimmed")
    assert weighed.status == 0
    move(yard, "demoulded", "2026-01-12", "--done", told.change)
    shown = yard("hull", "show", "001", "--json").json
    assert shown["parts"][0]["built_to"] == f"r1 with {told.change}"
    assert shown["lacking"] == []
    text = yard("hull", "show", "001").out
    assert f"  deck: r1 with {told.change} (" in text
    assert "not built in" not in text
    assert " as r1\n" in text.split("\nsteps\n")[0]
    assert f"    computed as r1 {mass:.1f} kg: " in text


def test_a_renumbered_hull_keeps_its_holds(tmp_path: Path) -> None:
    told = hull_story(tmp_path)
    assert told.yard("hull", "add", "101", "--revision", "r1", "--was", "001").status == 0
    for number in ("101", "001"):
        text = told.yard("hull", "show", number).out
        assert text.startswith("hull 101: demo, planned, hull 001 before\n  HOLD deck/side")
        assert "in-mould" in text
    rows = {row["hull"]: row for row in told.yard("hull", "list", "--json").json["hulls"]}
    assert "001" not in rows
    assert rows["101"]["holds"] == [told.severe]
    assert rows["101"]["open_observations"] == 1
