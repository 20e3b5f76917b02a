"""Which zone became which."""

import pytest

from recipe_track.impact.pairing import pair_zones
from recipe_track.recipe.layup import Zone


def zones(**formerly: tuple[str, ...]) -> dict[str, Zone]:
    return {f"deck/{name}": Zone(centroid_m=(0.0, 0.0, 0.0), formerly=old) for name, old in formerly.items()}


def pairs(
    before: dict[str, Zone], after: dict[str, Zone], renames: dict[str, str] | None = None
) -> list[tuple[str | None, str | None]]:
    return [(pair.before, pair.after) for pair in pair_zones(before, after, renames or {})]


@pytest.mark.parametrize(
    ("before", "after", "renames", "expected"),
    [
        pytest.param(zones(a=()), zones(a=()), {}, [("deck/a", "deck/a")], id="one name"),
        pytest.param(zones(a=()), zones(b=("deck/a",)), {}, [("deck/a", "deck/b")], id="an earlier name"),
        pytest.param(
            zones(a=()), zones(a=(), b=("deck/a",)), {}, [("deck/a", "deck/a"), (None, "deck/b")],
            id="an earlier name that still exists",
        ),
        pytest.param(
            zones(a=()), zones(b=("deck/a",), c=("deck/a",)), {}, [("deck/a", "deck/b"), (None, "deck/c")],
            id="a split: the first takes it",
        ),
        pytest.param(
            zones(a=(), b=()), zones(c=("deck/x", "deck/b", "deck/a")), {},
            [("deck/a", None), ("deck/b", "deck/c")],
            id="joined: the first earlier name that exists only before",
        ),
        pytest.param(
            zones(a=()), zones(b=()), {"deck/b": "deck/a"}, [("deck/a", "deck/b")], id="a rename of git's"
        ),
        pytest.param(
            zones(a=()), zones(b=("deck/a",), c=()), {"deck/c": "deck/a"},
            [("deck/a", "deck/b"), (None, "deck/c")],
            id="what the recipe says goes before git's guess",
        ),
        pytest.param(
            zones(a=()), zones(a=(), b=()), {"deck/b": "deck/a"}, [("deck/a", "deck/a"), (None, "deck/b")],
            id="a rename of a zone that is still there",
        ),
        pytest.param(
            zones(b=("deck/a",)), zones(a=()), {}, [("deck/b", "deck/a")], id="looking backwards"
        ),
        pytest.param(zones(a=()), zones(b=()), {}, [("deck/a", None), (None, "deck/b")], id="unrelated"),
    ],
)  # fmt: skip
def test_pairs(
    before: dict[str, Zone],
    after: dict[str, Zone],
    renames: dict[str, str],
    expected: list[tuple[str | None, str | None]],
) -> None:
    assert pairs(before, after, renames) == expected
