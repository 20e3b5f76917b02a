"""Which zone was which."""

import pytest

from recipe_track.recipe.identity import (
    name_in,
    names_ever,
    names_now,
    names_of,
    names_through,
    origins,
    pair_zones,
    predecessors,
)  # fmt: skip
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
            zones(a=()), zones(c=("deck/a",), b=("deck/a",)), {}, [("deck/a", "deck/b"), (None, "deck/c")],
            id="a split: the first by name, in whatever order they are read",
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


def test_what_was_split_has_one_partner_and_one_origin_each() -> None:
    before, after = zones(a=()), zones(b=("deck/a",), c=("deck/a",), d=())
    assert origins(before, after) == {"deck/b": "deck/a", "deck/c": "deck/a"}
    assert origins(before, zones(a=(), b=("deck/a",))) == {"deck/a": "deck/a", "deck/b": "deck/a"}


def test_an_origin_is_the_partner_even_where_another_earlier_name_comes_first() -> None:
    before, after = zones(a=(), b=()), zones(c=("deck/a",), d=("deck/a", "deck/b"))
    assert origins(before, after) == {"deck/c": "deck/a", "deck/d": "deck/b"}


def test_a_name_is_found_in_earlier_and_in_later_revisions() -> None:
    old, now = zones(a=(), x=()), zones(b=("deck/z", "deck/a"), x=())
    assert name_in("deck/x", now, old) == "deck/x"
    assert name_in("deck/b", now, old) == "deck/a"
    assert name_in("deck/a", old, now) == "deck/b"
    assert name_in("deck/a", {}, now) == "deck/b"
    assert name_in("deck/q", now, old) is None
    assert name_in("deck/a", {}, {"deck/unread": None}) is None


def test_a_name_of_the_past_is_now_that_of_every_piece() -> None:
    now = zones(c=("deck/a",), b=("deck/a",), d=("deck/b",))
    assert names_now("deck/a", now) == ("deck/b", "deck/c")
    assert names_now("deck/b", now) == ("deck/b",)
    assert names_now("deck/q", now) == ()


def test_all_the_names_of_a_zone() -> None:
    now = zones(c=("deck/b", "deck/a"))
    assert names_of("deck/c", now["deck/c"]) == ("deck/c", "deck/b", "deck/a")
    (then,) = zones(b=("deck/a",)).values()
    assert names_ever("deck/b", then, now) == {"deck/a", "deck/b", "deck/c"}
    newest_first = (zones(c=("deck/b",)), zones(b=("deck/a",)), zones(a=(), q=("deck/p",)))
    assert names_through("deck/c", newest_first) == {"deck/a", "deck/b", "deck/c"}


@pytest.mark.parametrize(
    ("before", "after", "renamed_from", "expected"),
    [
        pytest.param(zones(b=()), zones(b=()), (), ["deck/b"], id="itself"),
        pytest.param(zones(a=()), zones(b=("deck/a",)), ("deck/q",), ["deck/a"], id="renamed, as it says"),
        pytest.param(zones(a=()), zones(a=(), b=("deck/a",)), (), ["deck/a"], id="split from what stays"),
        pytest.param(
            zones(a=(), b=()), zones(b=("deck/a",)), (), ["deck/b", "deck/a"], id="joined by one that ends"
        ),
        pytest.param(zones(a=(), b=()), zones(a=(), b=("deck/a",)), (), ["deck/b"], id="named, but not ended"),
        pytest.param(
            zones(a=(), b=("deck/a",)), zones(b=("deck/a",)), (), ["deck/b"], id="named before it ended"
        ),
        pytest.param(zones(a=()), zones(b=()), ("deck/a", "deck/q"), ["deck/a"], id="renamed, as git says"),
        pytest.param(zones(a=("deck/b",)), zones(b=()), ("deck/q",), ["deck/a"], id="a rename taken back"),
        pytest.param(
            zones(c=("deck/b",)), zones(b=(), c=("deck/b",)), (), [], id="a new zone of an old name"
        ),
        pytest.param(zones(a=()), zones(b=()), (), [], id="new"),
    ],
)  # fmt: skip
def test_predecessors(
    before: dict[str, Zone], after: dict[str, Zone], renamed_from: tuple[str, ...], expected: list[str]
) -> None:
    assert list(predecessors("deck/b", before, after, renamed_from)) == expected
