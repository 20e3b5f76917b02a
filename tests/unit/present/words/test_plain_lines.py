"""Lines that keep their place where a narrow terminal folds them."""

from rich.console import Console, RenderableType

from recipe_track.present.words.plain import hanging, headed


def shown(*lines: RenderableType, width: int) -> list[str]:
    console = Console(width=width, color_system=None)
    with console.capture() as captured:
        for line in lines:
            console.print(line, markup=False, highlight=False)
    return [row.rstrip() for row in captured.get().split("\n")[:-1]]


def test_text_beside_a_head_is_folded_into_a_block() -> None:
    """A why of a comparison reads as one paragraph beside its word."""
    assert shown(headed("why  ", "stiffer deck, seen on hull 012"), width=20) == [
        "why  stiffer deck,",
        "     seen on hull",
        "     012",
    ]


def test_a_line_moved_in_stays_moved_in_and_its_rest_goes_deeper() -> None:
    """What is folded off cannot be taken for a line of its own."""
    assert shown(*hanging(["  mass +4.2 kg because of layup"], deeper=2), width=18) == [
        "  mass +4.2 kg",
        "    because of",
        "    layup",
    ]


def test_a_line_at_the_margin_and_a_table_stay_as_they_are() -> None:
    """Only what starts with spaces is moved in."""
    assert list(hanging(["heading", ""])) == ["heading", ""]


def test_a_long_word_in_a_narrow_window_loses_nothing() -> None:
    """A commit id longer than the line is cut over lines and stays whole in sum."""
    commit = "8ef3e5b2361c901898272c0c19a917b9a210ee72"
    rows = shown(headed("LAYUP SHEET  ", commit), width=20)
    assert "".join(row[13:] for row in rows) == commit
