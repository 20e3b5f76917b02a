"""Large things cost in proportion: counted in cells, cases and calls, never in seconds (`tests.bench.bench_sizes`)."""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.results import ZoneFigures
from recipe_track.figures.zone import zone_figures
from recipe_track.impact import align as alignment
from recipe_track.impact import combinations
from recipe_track.impact.align import Ply, plies_of
from recipe_track.recipe.fields import MOST_LAYERS
from recipe_track.recipe.layup import Layer
from tests.bench.bench_sizes import checking, comparison, layers, new_zones, reading
from tests.laws.strategies import KINDS, edited_layups, layups
from tests.laws.work import calls_of

WOVEN = {"wr-600": "reinforcement"}
WHOLE = 1_000_000  # half units: no cell is left out


def _rests(before: Sequence[Layer], after: Sequence[Layer], kinds: dict[str, str]) -> alignment._Rests:
    one, two = plies_of(before, kinds), plies_of(after, kinds)
    return alignment._cheapest_rests(alignment._PairCosts(one, two))


@pytest.mark.parametrize("count", [250, 500, MOST_LAYERS])
@pytest.mark.parametrize("edits", [0, 1, 5, 20])
def test_alignment_works_out_no_more_than_layers_times_edits(count: int, edits: int) -> None:
    old = layers(count, 7)
    new = (*old[: count // 2], *layers(edits, 11), *old[count // 2 + 2 * edits :])
    cells = _rests(old, new, WOVEN).cells
    assert cells <= (count + 1) * (4 * edits + 2 * alignment.FIRST_GUESS + 1)


@given(
    layups().flatmap(lambda one: st.tuples(st.just(one), edited_layups(one))) | st.tuples(layups(), layups())
)
def test_no_cheapest_alignment_lies_outside_the_band(
    pair: tuple[tuple[Layer, ...], tuple[Layer, ...]],
) -> None:
    one, two = (plies_of(layup, KINDS) for layup in pair)
    assert alignment._matches(one, two) == _matches_of_all_cells(one, two)


def _matches_of_all_cells(one: Sequence[Ply], two: Sequence[Ply]) -> tuple[tuple[int, int], ...]:
    """The same walk through a table of which every cell is worked out."""
    costs = alignment._PairCosts(one, two)
    rest = alignment._Rests(costs, WHOLE)
    assert rest.cells == (len(one) + 1) * (len(two) + 1)
    matches: list[tuple[int, int]] = []
    found = alignment._nearest_match(costs, rest, (0, 0))
    while found is not None:
        matches.append(found)
        found = alignment._nearest_match(costs, rest, (found[0] + 1, found[1] + 1))
    return tuple(matches)


@pytest.mark.parametrize(
    ("edits", "most"), [(3, 8), (20, 21), (200, 201), (260, 0), (500, 0)], ids=lambda value: str(value)
)
def test_causes_compute_no_more_cases_than_edits(
    edits: int, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    cases: list[int] = []

    def counted(some: Sequence[ZoneCase], **how: bool) -> tuple[ZoneFigures, ...]:
        cases.append(len(some))
        assert sum(len(case.zone.layup) for case in some) <= combinations.PLIES_AT_ONCE
        return zone_figures(some, **how)  # type: ignore[arg-type]

    compare = comparison(500, edits)
    monkeypatch.setattr(combinations, "zone_figures", counted)
    compare()
    assert sum(cases) <= most


def test_edits_that_are_too_many_to_tell_are_said_to_be() -> None:
    impact = comparison(500, None)()
    side = next(zone for zone in impact.zones if zone.zone == "deck/side")  # type: ignore[attr-defined]
    assert side.edits == ()
    assert side.edits_note.endswith("the share of each is told of at most 200")
    assert side.causes


@pytest.mark.parametrize(
    ("make", "size"),
    [
        (new_zones, 100),
        (checking, 400),
        (lambda n: reading("".join(f"key{k} = 1\n" for k in range(n))), 1_000),
        (lambda n: reading("lorem ipsum dolor sit amet, " * n), 2_000),
        (lambda n: comparison(n, 10), 250),
    ],
    ids=["new zones", "bad layers", "unknown keys", "words pasted", "layers compared"],
)
def test_twice_the_size_takes_twice_the_calls(make: object, size: int) -> None:
    one, two = make(size), make(2 * size)  # type: ignore[operator]
    one()  # what is kept for every later run
    assert calls_of(two) <= 2.3 * calls_of(one) + 5_000
