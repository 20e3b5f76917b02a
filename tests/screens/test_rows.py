"""The list widget: draws what is in sight, keeps its cursor, fits its columns."""

from textual.app import App, ComposeResult

from recipe_track.tui.text import fitted
from recipe_track.tui.widgets.rows import ListColumn, ListRow, RowList
from tests.screens.screen_text import lines_of

MANY = 5000


class Listed(App[None]):
    """Nothing but a list."""

    def compose(self) -> ComposeResult:
        yield RowList(
            (ListColumn("no", 6), ListColumn("text", 0), ListColumn("end", 3, right=True)), id="rows"
        )


async def test_five_thousand_rows_end_to_end() -> None:
    app = Listed()
    async with app.run_test(size=(40, 10)) as pilot:
        rows = app.query_one(RowList)
        rows.focus()
        rows.show([ListRow(str(n), (str(n), f"row {n}", "")) for n in range(MANY)])
        await pilot.press("end")
        assert rows.key == str(MANY - 1)
        assert f"row {MANY - 1}" in lines_of(app)[-1]
        await pilot.press("pageup", "home")
        assert rows.key == "0"
        assert "▸ 0" in lines_of(app)[1]


async def test_the_cursor_stays_with_its_row_when_rows_come() -> None:
    app = Listed()
    async with app.run_test(size=(40, 10)):
        rows = app.query_one(RowList)
        rows.show([ListRow(key, (key, "", "")) for key in "abc"], "b")
        rows.show([ListRow(key, (key, "", "")) for key in "xabc"])
        assert rows.key == "b"
        rows.show([ListRow(key, (key, "", "")) for key in "xyz"])
        assert rows.key == "x"


def test_text_is_cut_and_padded_to_cells() -> None:
    assert fitted("abc", 5) == "abc  "
    assert fitted("abc", 5, right=True) == "  abc"
    assert fitted("abcdef", 4) == "abc…"
    assert fitted("漢字漢字", 5) == "漢字…"  # two cells each
    assert fitted("a\x1b[31m", 20).startswith("a␛[31m")
