"""History, Trials, Hulls and Changes: what they show and what they write."""

from pathlib import Path

import pytest
from textual.widgets import Select

from recipe_track.present.words.figures import CAUTION
from recipe_track.recipe.states import change_state
from recipe_track.review.hull.overview import trial_rows
from recipe_track.tui.content.history import blocks
from recipe_track.tui.help import help_page
from recipe_track.tui.screens.changes import ChangesScreen
from recipe_track.tui.screens.compare import CompareScreen
from recipe_track.tui.screens.history import HistoryScreen
from recipe_track.tui.widgets.rows import RowList
from recipe_track.workspace import open_workspace
from tests.screens.driving import LARGE, SMALL, opened
from tests.screens.screen_text import text_of

WAITING = "C-QHY6J1"


def test_plots_use_the_range_of_their_own_values() -> None:
    assert blocks([1.0, 2.0, 3.0]) == "▁▅█"  # halfway of eight heights rounds up
    assert blocks([5.0, 5.0]) == "▁▁"
    assert blocks([None, 1.0]) == "×▁"


async def test_enter_in_history_compares_a_revision_with_the_one_before(example: Path) -> None:
    async with opened(example, SMALL, "r7", "r8") as drive:
        await drive.press("2")
        screen = drive.app.screen
        assert isinstance(screen, HistoryScreen)
        assert screen.pane.whole is not None
        names = [entry.revision.shown for entry in screen.pane.whole.entries]
        await drive.press(*["down"] * names.index("r4"), "enter")
        compare = drive.app.screen
        assert isinstance(compare, CompareScreen)
        assert compare.view is not None
        sides = compare.view.comparison.before, compare.view.comparison.after
        assert [side.revision.shown for side in sides] == ["r3", "r4"]


async def test_the_first_revision_has_nothing_before_it(example: Path) -> None:
    async with opened(example, SMALL, "r7", "r8") as drive:
        await drive.press("2", "end", "enter")
        assert isinstance(drive.app.screen, HistoryScreen)
        assert any("first revision" in toast for toast in drive.toasts)


async def test_history_of_one_zone(example: Path) -> None:
    async with opened(example, LARGE, "r3", "r4") as drive:
        await drive.press("2", "z")
        await drive.write("deck-support")
        await drive.press("enter")
        assert "too flexible at deck support" in text_of(drive.app)
        assert "EI across" in text_of(drive.app)
        assert "new quotations" in text_of(drive.app)  # the prices reached it from outside its file
        assert "aft deck" not in text_of(drive.app)


async def test_trials_stand_worst_first_and_all_on_demand(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("3")
        rows = drive.find("#list", RowList)
        severities = [int(row.cells[0]) for row in rows.rows]
        assert severities == sorted(severities, reverse=True)
        few = len(rows.rows)
        await drive.press("o")
        assert len(rows.rows) > few


async def test_an_observation_is_logged_with_the_keyboard_alone(own_example: Path) -> None:
    async with opened(own_example, SMALL, "r3", "r4") as drive:
        await drive.press("3", "n")
        await drive.write("014")
        await drive.press("enter")
        await drive.write("keel")
        await drive.press("enter", "tab", "tab")
        await drive.write("knocks [/b] when reversing")
        await drive.press("shift+tab", "enter", "down", "down", "enter")  # a severity, from its list
        await drive.press("shift+tab", "enter", "down", "down", "enter")  # an observation
        await drive.press("f2")
        assert any("hull/keel" in toast for toast in drive.toasts)
        assert "knocks [/b] when" in text_of(drive.app) or "hull/keel" in text_of(drive.app)
    with open_workspace(own_example) as ws:
        found = [row for row in trial_rows(ws.current()) if row.trial.text == "knocks [/b] when reversing"]
    assert len(found) == 1
    assert (found[0].trial.hull, found[0].trial.zone) == ("014", "hull/keel")
    assert found[0].trial.by == "Ben Slip <ben@quay.example>"


async def test_a_refused_form_comes_back_with_what_was_typed(own_example: Path) -> None:
    async with opened(own_example, SMALL, "r3", "r4") as drive:
        await drive.press("3", "n")
        await drive.write("014")
        await drive.press("enter")
        await drive.write("keel")
        await drive.press("enter", "tab", "tab")
        await drive.write("knocks")
        drive.find("#field-observation", Select).value = "noise"
        drive.find("#field-severity", Select).value = "2"
        await drive.press("tab", "tab", "tab")
        await drive.write("9,5")
        await drive.press("f2")
        assert "`9,5` is not a number" in text_of(drive.app)
        assert "knocks" in text_of(drive.app)
        await drive.press("escape")
    with open_workspace(own_example) as ws:
        assert not [row for row in trial_rows(ws.current()) if row.trial.text == "knocks"]


async def test_hulls_show_what_stands_open_and_the_scales(example: Path) -> None:
    async with opened(example, LARGE, "r3", "r4") as drive:
        await drive.press("4")
        await drive.pilot.press(*["down"] * 3)
        await drive.settle()
        shown = text_of(drive.app)
    assert "HOLD  hull/transom" in shown
    assert "against computed" in shown


async def test_a_waiting_change_opens_in_compare_under_its_own_name(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("5", "enter")
        assert isinstance(drive.app.screen, CompareScreen)
        assert WAITING in text_of(drive.app)
        assert "wheelhouse/front" in text_of(drive.app)


async def test_a_change_is_rejected_with_a_reason_and_never_without(
    own_example: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GIT_AUTHOR_EMAIL", "aine.corrigan@example.org")
    async with opened(own_example, SMALL, "r3", "r4") as drive:
        await drive.press("5", "r", "f2")
        assert "needs a note" in text_of(drive.app)
        await drive.write("the glass is thicker already")
        await drive.press("f2")
        assert isinstance(drive.app.screen, ChangesScreen)
    with open_workspace(own_example) as ws:
        assert change_state(ws.current().records, WAITING) == "rejected"


async def test_what_is_decided_is_not_decided_again(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("5", "down", "a")
        assert isinstance(drive.app.screen, ChangesScreen)
        assert any("nothing to decide" in toast for toast in drive.toasts)


def test_no_line_of_the_help_is_folded_in_the_smallest_window() -> None:
    """Of 80 columns border, gaps and scroll bar leave 74; the caution is prose and may fold."""
    rows = help_page().plain.split("\n")
    assert [row for row in rows if len(row) > 74 and row != CAUTION] == []


async def test_what_is_folded_in_a_page_keeps_its_indent(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("y")
        assert "│     “Flange ticks under foot" in text_of(drive.app)


async def test_the_palette_names_keys_as_the_footer_does(example: Path) -> None:
    async with opened(example, LARGE, "r3", "r4") as drive:
        await drive.press("ctrl+p")
        assert "Help: signs and keys  (?)" in text_of(drive.app)
        assert "question_mark" not in text_of(drive.app)
