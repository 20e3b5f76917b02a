"""Alignment on stacks small enough to reason about by hand."""

import pytest

from recipe_track.impact.align import align, is_upside_down, plies_of
from recipe_track.impact.rows import rows_of
from recipe_track.recipe.layup import Layer

KINDS = {"gel": "coating", "foam": "core"}


def stack(text: str) -> tuple[Layer, ...]:
    """Layers from words such as `uni:90*2`: material, angle, plies; foam and gel take a thickness."""
    return tuple(_layer(word) for word in text.split())


def _layer(word: str) -> Layer:
    name, _, plies = word.partition("*")
    name, _, value = name.partition(":")
    thick = name in KINDS
    return Layer(
        material=name,
        plies=int(plies or 1),
        angle_deg=0.0 if thick else float(value or 0),
        thickness_mm=float(value or 1) if thick else None,
    )


def compared(before: str, after: str) -> list[str]:
    """Rows as `mark before-line>after-line*plies`."""
    old, new = stack(before), stack(after)
    kinds = {layer.material: KINDS.get(layer.material, "reinforcement") for layer in (*old, *new)}
    return [
        f"{row.mark} {row.before.line if row.before else '-'}>{row.after.line if row.after else '-'}"
        f"*{(row.after or row.before).plies}"  # type: ignore[union-attr]
        for row in rows_of(align(old, new, kinds)).rows
    ]


@pytest.mark.parametrize(
    ("before", "after", "rows"),
    [
        pytest.param(
            "gel csm biax*2 foam:15 biax",
            "gel csm biax*2 uni foam:20 biax",
            ["kept 1>1*1", "kept 2>2*1", "kept 3>3*2", "added ->4*1", "altered 4>5*1", "kept 5>6*1"],
            id="a ply added under a thicker core",
        ),
        pytest.param("uni*2", "uni*3", ["kept 1>1*2", "added ->1*1"], id="one ply more of the same line"),
        pytest.param("uni*3", "uni", ["kept 1>1*1", "removed 1>-*2"], id="two plies fewer"),
        pytest.param("uni uni", "uni*2", ["kept 1>1*1", "kept 2>1*1"], id="two lines written as one"),
        pytest.param("uni biax", "csm biax", ["replaced 1>1*1", "kept 2>2*1"], id="another fabric"),
        pytest.param("gel", "uni", ["removed 1>-*1", "added ->1*1"], id="different kinds never pair"),
        pytest.param(
            "uni csm", "gel:2 foam", ["removed 1>-*1", "removed 2>-*1", "added ->1*1", "added ->2*1"],
            id="removed ones precede added ones",
        ),
        pytest.param(
            "uni:0 uni:90", "uni:90 uni:45", ["removed 1>-*1", "kept 2>1*1", "added ->2*1"],
            id="two alterations cost as much as one kept: the kept one wins",
        ),
        pytest.param(
            "csm uni biax", "csm uni uni biax",
            ["kept 1>1*1", "kept 2>2*1", "added ->3*1", "kept 3>4*1"],
            id="of two equal plies the one nearest the mould is the old one",
        ),
        pytest.param(
            "csm uni", "wr uni uni", ["replaced 1>1*1", "kept 2>2*1", "added ->3*1"],
            id="nearest the mould, although another match lies at the bag side",
        ),
        pytest.param(
            "gel csm csm csm", "csm csm csm gel",
            ["kept 2>1*1", "kept 3>2*1", "kept 4>3*1", "moved 1>4*1"],
            id="a layer taken to the other face has moved",
        ),
        pytest.param(
            "gel csm biax biax biax gel", "biax biax biax csm gel gel",
            ["kept 3>1*1", "kept 4>2*1", "kept 5>3*1", "moved 2>4*1", "kept 6>5*1", "moved 1>6*1"],
            id="moved rows stand in the order of after",
        ),
        pytest.param("", "uni", ["added ->1*1"], id="from nothing"),
        pytest.param("uni", "", ["removed 1>-*1"], id="to nothing"),
    ],
)  # fmt: skip
def test_rows(before: str, after: str, rows: list[str]) -> None:
    assert compared(before, after) == rows


def test_the_nearest_of_identical_plies_moves() -> None:
    """Line 1 or 3 could have gone to the bag side: line 3 lies nearer."""
    rows = compared("gel wr gel biax*4", "wr biax*4 gel")
    assert "moved 3>3*1" in rows
    assert "removed 1>-*1" in rows


def test_a_run_is_not_cut_by_a_moved_ply_of_its_own_line() -> None:
    """The middle ply of line 1 counts as moved; the two around it are one row of added plies."""
    assert compared("foam*3 uni csm*2", "csm*2 uni*3") == [
        "removed 1>-*3",
        "kept 3>1*2",
        "added ->2*2",
        "moved 2>2*1",
    ]


@pytest.mark.parametrize(
    "words", [{"note": "butt joints"}, {"tag": "A"}, {"extent": "over the frames"}, {"source": "survey"}]
)
def test_words_alone_change_nothing(words: dict[str, str]) -> None:
    before = stack("uni")
    after = (before[0].model_copy(update=words),)
    (row,) = rows_of(align(before, after, {"uni": "reinforcement"})).rows
    assert row.mark == "kept"
    assert row.after is not None
    assert row.after.note == words.get("note")


@pytest.mark.parametrize(
    "values",
    [
        {"process": "hand-layup"},
        {"resin": "epoxy"},
        {"stage": 2},
        {"flipped": True},
        {"coverage_fraction": 0.5},
        {"fibre_mass_fraction": 0.6},
        {"uptake_g_m2": 0.0},
        {"angle_deg": 180.0},
        {"thickness_mm": 2.0},
    ],
)
def test_any_value_of_a_layer_alters_it(values: dict[str, object]) -> None:
    before = stack("foam:1")
    after = (before[0].model_copy(update=values),)
    (row,) = rows_of(align(before, after, KINDS)).rows
    assert row.mark == "altered"
    ((name, value),) = values.items()
    assert getattr(row.after, name) == value


@pytest.mark.parametrize(
    ("before", "after", "reversed_"),
    [
        ("gel csm uni", "uni csm gel", True),
        ("uni*2 csm", "csm uni uni", True),
        ("gel csm uni", "gel csm uni", False),
        ("uni csm uni", "uni csm uni", False),
        ("gel csm uni", "csm uni gel", False),
        ("uni", "csm", False),
    ],
)
def test_upside_down(before: str, after: str, reversed_: bool) -> None:
    kinds = {"gel": "coating", "csm": "reinforcement", "uni": "reinforcement"}
    assert is_upside_down(plies_of(stack(before), kinds), plies_of(stack(after), kinds)) is reversed_


def test_two_hundred_plies_of_few_kinds_are_aligned() -> None:
    """A thick stack with every second ply turned: as many rows kept as stay."""
    before = stack("uni:0 uni:90 " * 100)
    after = stack("uni:0 uni:45 " * 100)
    marks = [row.mark for row in rows_of(align(before, after, {"uni": "reinforcement"})).rows]
    assert marks == ["kept", "altered"] * 100
