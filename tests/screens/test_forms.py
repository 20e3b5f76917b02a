"""Forms: what was typed belongs to one form about one record, until it is written."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from threading import Event
from unittest.mock import Mock

import pytest
from textual.widgets import Input, Select, Static

from recipe_track.cli.main import run
from recipe_track.errors import Refused
from recipe_track.review.hull.overview import trial_rows
from recipe_track.tui.screens.changes import ChangesScreen
from recipe_track.tui.widgets.rows import RowList
from recipe_track.workspace import Workspace, open_workspace
from tests.journeys.gitrepo import environment
from tests.screens.driving import SMALL, Drive, opened

FIRST = "C-QHY6J1"
APPROVER = {"GIT_AUTHOR_NAME": "Aine Corrigan", "GIT_AUTHOR_EMAIL": "aine.corrigan@example.org"}


@pytest.fixture
def two_waiting(own_example: Path) -> Iterator[tuple[Path, str]]:
    """The example with a second change waiting, before someone who may approve; and the change's id."""
    zone = own_example / "models/pb98/deck/coaming.toml"
    written = zone.read_text()
    zone.write_text(written.replace("plies = 4", "plies = 5"))
    propose = [
        "change",
        "propose",
        "--title",
        "More roving",
        "--reason",
        "the coaming rattles",
        "--category",
        "layup",
    ]
    assert run(["-C", str(own_example), *propose]) == 0
    zone.write_text(written)
    waiting = {path.name for path in (own_example / ".git/refs/heads/change").iterdir()}
    (second,) = waiting - {FIRST}
    with environment(APPROVER):
        yield own_example, second


async def go_to(drive: Drive, key: str) -> None:
    """The row of a record."""
    rows = drive.find("#list", RowList)
    rows.cursor = [row.key for row in rows.rows].index(key)
    await drive.settle()


def title(drive: Drive) -> str:
    """The title of the form in sight."""
    return str(drive.find("#dialog-title", Static).content)


def typed(drive: Drive, field: str) -> str:
    """What stands in a field of the form in sight."""
    return drive.find(f"#field-{field}", Input).value


async def start_log(drive: Drive, hull: str) -> None:
    """The form for an observation on the keel of a hull."""
    await drive.press("n")
    await drive.write(hull)
    await drive.press("enter")
    await drive.write("keel")
    await drive.press("enter")
    assert title(drive) == f"Observation at hull/keel, hull {hull}"


async def test_the_approval_of_one_change_offers_no_document_of_another(
    two_waiting: tuple[Path, str],
) -> None:
    path, second = two_waiting
    async with opened(path, SMALL, "r3", "r4") as drive:
        await drive.press("5")
        await go_to(drive, FIRST)
        await drive.press("a", "tab")
        await drive.write("SC-098 rev D")
        await drive.press("tab")
        await drive.write("Scantling office")
        await drive.press("escape")
        await go_to(drive, second)
        await drive.press("a")
        assert second in title(drive)
        assert (typed(drive, "document"), typed(drive, "body")) == ("", "")
        await drive.press("escape")
        await go_to(drive, FIRST)
        await drive.press("a")
        assert (typed(drive, "document"), typed(drive, "body")) == ("SC-098 rev D", "Scantling office")


async def test_what_was_typed_to_approve_is_no_reason_to_reject(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("5", "a")
        await drive.write("stiff enough on 016")
        await drive.press("escape", "r")
        assert typed(drive, "note") == ""


async def test_a_severity_is_not_carried_to_another_hull(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("3")
        await start_log(drive, "014")
        drive.find("#field-severity", Select).value = "5"
        await drive.press("tab", "tab")
        await drive.write("bangs")
        await drive.press("escape")
        await start_log(drive, "013")
        assert drive.find("#field-severity", Select).value == Select.NULL
        assert typed(drive, "text") == ""
        await drive.press("escape")
        await start_log(drive, "014")
        assert drive.find("#field-severity", Select).value == "5"
        assert typed(drive, "text") == "bangs"


async def test_a_form_in_which_nothing_was_typed_begins_with_the_day_it_is_opened_on(
    example: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("3")
        for day in ("2026-03-10", "2026-03-11"):
            monkeypatch.setattr(
                "recipe_track.tui.screens.trials.date",
                Mock(**{"today.return_value": date.fromisoformat(day)}),
            )
            await start_log(drive, "014")
            assert typed(drive, "on") == day
            await drive.press("escape")


async def test_what_was_written_is_not_offered_again(own_example: Path) -> None:
    async with opened(own_example, SMALL, "r3", "r4") as drive:
        await drive.press("3")
        await start_log(drive, "014")
        await drive.press("tab", "tab")
        await drive.write("bangs")
        await drive.press("f2")  # nothing is chosen for anybody where a choice matters
        assert "nothing is chosen for observation" in str(drive.find("#refused", Static).content)
        drive.find("#field-observation", Select).value = "noise"
        await drive.press("f2")
        assert "nothing is chosen for severity" in str(drive.find("#refused", Static).content)
        drive.find("#field-severity", Select).value = "2"
        await drive.press("f2")
        await start_log(drive, "014")
        assert typed(drive, "text") == ""
    with open_workspace(own_example) as ws:
        assert [row.trial.text for row in trial_rows(ws.current())].count("bangs") == 1


async def test_a_refused_form_comes_back_for_its_own_record(
    two_waiting: tuple[Path, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path, second = two_waiting
    moved_on = Event()

    def refuse(*_: object) -> None:
        moved_on.wait(10)
        raise Refused("main moved on")

    monkeypatch.setattr("recipe_track.tui.screens.changes.reject_change", refuse)
    async with opened(path, SMALL, "r3", "r4") as drive:
        await drive.press("5")
        await go_to(drive, FIRST)
        await drive.press("r")
        await drive.write("too heavy")
        await drive.pilot.press("f2")
        rows = drive.app.screen.query_one("#list", RowList)
        rows.cursor = [row.key for row in rows.rows].index(second)
        await drive.pilot.pause()
        moved_on.set()
        await drive.settle()
        assert FIRST in title(drive)
        assert typed(drive, "note") == "too heavy"


async def test_one_write_does_not_hide_what_came_of_another(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("5")
        screen = drive.app.screen
        assert isinstance(screen, ChangesScreen)
        both, written, refused = Event(), [], []

        def late(_: Workspace) -> str:
            both.wait(10)
            return "late"

        screen.background.write(late, written.append, refused.append)
        screen.background.write(lambda _: "soon", written.append, refused.append)
        both.set()
        await drive.settle()
        assert sorted(written) == ["late", "soon"]
        assert not refused
