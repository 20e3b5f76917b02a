"""The screens as a person sees them, line by line; `UPDATE_SCREENS=1` accepts them as they are."""

from pathlib import Path

import pytest

from tests.screens.driving import LARGE, SMALL, opened
from tests.screens.screen_text import assert_golden, colours_of, lines_of

SMALL_SCREENS = (
    ("compare-80x24", ()),
    ("layers-80x24", ("l",)),
    ("revisions-80x24", ("b",)),
    ("history-80x24", ("2",)),
    ("trials-80x24", ("3",)),
    ("hulls-80x24", ("4", "end")),
    ("changes-80x24", ("5",)),
)
LARGE_SCREENS = (("compare-120x40", ()), ("history-120x40", ("2",)), ("help-120x40", ("question_mark",)))


@pytest.mark.parametrize(("size", "screens"), [(SMALL, SMALL_SCREENS), (LARGE, LARGE_SCREENS)], ids=str)
async def test_screens_are_as_they_were(
    example: Path, size: tuple[int, int], screens: tuple[tuple[str, tuple[str, ...]], ...]
) -> None:
    async with opened(example, size, "r3", "r4") as drive:
        for name, keys in screens:
            await drive.press(*keys)
            assert_golden(drive.app, name)
            assert max(map(len, lines_of(drive.app))) <= size[0]
            await drive.close_dialogs()
            await drive.pilot.press("1")


async def test_without_colour_the_same_screen_is_drawn_in_greys(
    example: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(example, SMALL, "r3", "r4") as drive:
        assert_golden(drive.app, "compare-80x24")
        drawn = colours_of(drive.app)
    assert drawn
    coloured = {c for c in drawn if len({c[1:3], c[3:5], c[5:7]}) > 1}
    assert coloured <= WINDOW


WINDOW = {"#ff5f57", "#febc2e", "#28c840", "#c5c8c6"}
"""Colours of the window that the screenshot puts around the screen."""
