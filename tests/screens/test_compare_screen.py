"""Compare: what is shown first, how revisions are chosen, how the working files are followed."""

from pathlib import Path
from threading import Event

import pytest
from textual.widgets import Static

from recipe_track.tui.content.revisions import RevisionPair
from recipe_track.tui.screens.compare import CompareScreen
from recipe_track.tui.screens.layers import LayersScreen
from recipe_track.tui.widgets.rows import RowList
from tests.screens.driving import LARGE, SMALL, Drive, opened
from tests.screens.screen_text import lines_of, text_of

ZONE = "models/pb98/deck/deck-support.toml"


def screen_of(drive: Drive) -> CompareScreen:
    assert isinstance(drive.app.screen, CompareScreen)
    return drive.app.screen


def shown_revisions(drive: Drive) -> tuple[str, str]:
    view = screen_of(drive).view
    assert view is not None
    return view.comparison.before.revision.shown, view.comparison.after.revision.shown


async def look_again(drive: Drive) -> None:
    """What the timer does every second."""
    screen = screen_of(drive)
    screen.background.look(screen.compare)
    await drive.settle()


async def test_changed_zones_come_first_by_size_of_effect(example: Path) -> None:
    async with opened(example, LARGE, "r1", "r8") as drive:
        view = screen_of(drive).view
        assert view is not None
        statuses = [zone.status != "unchanged" for zone in view.zones]
        assert statuses == sorted(statuses, reverse=True)
        deltas = [z.figures["mass_kg"] for z in view.zones if z.status != "unchanged"]
        masses = [abs((d.after or 0) - (d.before or 0)) for d in deltas]
        assert masses == sorted(masses, reverse=True)
        assert "added" in {zone.status for zone in view.zones[:5]}, "a new zone counts with all its mass"
        assert drive.find("#zones", RowList).rows[0].key == view.zones[0].zone


async def test_every_changed_row_carries_a_sign_and_a_word(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        lines = lines_of(drive.app)
    assert any(line.startswith(" + added") and "uni-600" in line and "+3.2 kg" in line for line in lines)
    assert any(line.startswith(" ~ altered") and "15 mm  →  20 mm" in line for line in lines)


async def test_arrows_go_from_zone_to_zone_round_and_round(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        screen = screen_of(drive)
        assert screen.zone_name == "deck/deck-support"
        await drive.press("right")
        assert screen.zone_name == "deck/aft-deck"
        await drive.press("left", "left")
        assert screen.view is not None
        assert screen.zone_name == screen.view.zones[-1].zone
        assert "zone 23 of 23" in text_of(drive.app)


async def test_a_zone_is_found_by_typing(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("z")
        await drive.write("keel")
        await drive.press("enter")
        assert screen_of(drive).zone_name == "hull/keel"


async def test_a_revision_is_chosen_from_the_list(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("a")
        await drive.write("r5")
        await drive.press("enter")
        assert shown_revisions(drive) == ("r3", "r5")


async def test_any_git_revision_can_be_typed(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("b")
        await drive.write("HEAD~9")
        await drive.press("enter")
        before = shown_revisions(drive)[0]
        assert before == "r7", "nine commits below the tip lies r7 with its records"
        await drive.press("x")
        assert shown_revisions(drive) == ("r4", before)


async def test_an_unknown_revision_is_told_and_leaves_what_is_shown(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("b")
        await drive.write("nowhere")
        await drive.press("enter")
        assert shown_revisions(drive) == ("r3", "r4")
        assert any("nowhere" in toast for toast in drive.toasts)
        await drive.press("x")
        assert shown_revisions(drive) == ("r4", "r3")


async def test_without_arguments_the_last_release_meets_the_working_files(example: Path) -> None:
    async with opened(example) as drive:
        assert shown_revisions(drive) == ("r8", "working")
        assert "working files" in text_of(drive.app)


async def test_saved_working_files_are_shown(own_example: Path) -> None:
    async with opened(own_example) as drive:
        assert "uni-600" not in text_of(drive.app)
        file = own_example / "models/pb98/hull/keel.toml"
        text = file.read_text().replace("layup = [", 'layup = [\n  { material = "uni-600" },', 1)
        file.write_text(text)
        await look_again(drive)
        await drive.press("z")
        await drive.write("keel")
        await drive.press("enter")
        assert "+ added" in text_of(drive.app)
        assert "uni-600" in text_of(drive.app)


async def test_invalid_working_files_show_their_problems_and_recover(own_example: Path) -> None:
    async with opened(own_example, before="r3") as drive:
        good = (own_example / ZONE).read_text()
        (own_example / ZONE).write_text(good.replace("area_m2", "aera_m2"))
        await look_again(drive)
        screen = screen_of(drive)
        assert screen.has_class("-failed")
        assert f"{ZONE}:" in text_of(drive.app)
        assert "aera_m2" in text_of(drive.app)
        (own_example / ZONE).write_text(good)
        await look_again(drive)
        assert not screen.has_class("-failed")
        assert "aera_m2" not in text_of(drive.app)


async def test_the_timer_sees_a_saved_file(own_example: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("recipe_track.tui.background.LOOK_EVERY_S", 0.05)
    async with opened(own_example, before="r3") as drive:
        (own_example / ZONE).write_text("area_m2 = 1\n")
        for _ in range(100):
            await drive.pilot.pause(0.05)
            if screen_of(drive).has_class("-failed"):
                break
        assert screen_of(drive).has_class("-failed")


async def test_a_stale_answer_is_not_shown(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        screen, stale = screen_of(drive), Event()
        shown: list[bool] = []
        screen.background.ask("comparison", lambda _: stale.wait(10), shown.append, lambda _: None)
        screen.compare(RevisionPair("r4", "r5"))
        stale.set()
        await drive.settle()
        assert shown_revisions(drive) == ("r4", "r5")
        assert not shown


async def test_better_is_said_only_where_a_requirement_says_which_way(example: Path) -> None:
    async with opened(example, LARGE, "r3", "r4") as drive:
        lines = {line[33:].split("  ")[0].strip(): line for line in lines_of(drive.app)}
        assert "better, ≤ 4.50 met" in lines["deflection"]
        assert "better" not in lines["mass"]
        assert "better" not in lines["EI along"]


async def test_layers_and_the_other_side(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        await drive.press("l")
        assert isinstance(drive.app.screen, LayersScreen)
        assert "uni-600" in text_of(drive.app)
        await drive.press("s")
        assert "uni-600" not in text_of(drive.app)
        await drive.press("escape")
        assert isinstance(drive.app.screen, CompareScreen)


async def test_pages_open_and_close(example: Path) -> None:
    async with opened(example, SMALL, "r3", "r4") as drive:
        for key, words in (("y", "severity 3"), ("t", "laminate mass"), ("w", "Calculation sheet")):
            await drive.press(key)
            assert words in text_of(drive.app)
            await drive.press("escape")
            assert isinstance(drive.app.screen, CompareScreen)


async def test_every_figure_on_demand(example: Path) -> None:
    async with opened(example, LARGE, "r3", "r4") as drive:
        assert "area" not in str(drive.find("#figures", Static).content)
        await drive.press("f")
        assert "area" in str(drive.find("#figures", Static).content)
