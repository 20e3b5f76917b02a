"""Laws of the alignment of two stacks."""

from collections import Counter
from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from recipe_track.impact.align import Alignment, align, is_upside_down, plies_of, values_of
from recipe_track.impact.rows import Row, mark_of, rows_of
from recipe_track.recipe.layup import Layer
from tests.laws.profiles import examples
from tests.laws.strategies import KINDS, core_layers, edited_layups, fabric_layers, layups

MANY = examples(5)


def crowded() -> st.SearchStrategy[tuple[Layer, ...]]:
    """Stacks of few different layers, where plies repeat and ties abound."""
    layer = st.builds(
        Layer,
        material=st.sampled_from(("uni-600", "biax-800", "gelcoat")),
        angle_deg=st.sampled_from((0.0, 90.0)),
        plies=st.sampled_from((1, 1, 2, 3)),
    )
    return st.lists(layer, max_size=6).map(tuple)


def stack_pairs() -> st.SearchStrategy[tuple[tuple[Layer, ...], tuple[Layer, ...]]]:
    """Two stacks: crowded ones, unrelated ones, and one edited into the other."""
    edited = layups().flatmap(lambda one: st.tuples(st.just(one), edited_layups(one)))
    return st.one_of(st.tuples(crowded(), crowded()), st.tuples(layups(), layups()), edited)


def aligned(before: tuple[Layer, ...], after: tuple[Layer, ...]) -> Alignment:
    return align(before, after, KINDS)


def rows(before: tuple[Layer, ...], after: tuple[Layer, ...]) -> tuple[Row, ...]:
    return rows_of(aligned(before, after)).rows


@MANY
@given(st.one_of(layups(), crowded()))
def test_a_stack_compared_with_itself_shows_no_change(layup: tuple[Layer, ...]) -> None:
    assert {row.mark for row in rows(layup, layup)} <= {"kept"}
    assert not is_upside_down(plies_of(layup, KINDS), plies_of(layup, KINDS))


MIRRORED = {"added": "removed", "removed": "added"}


@examples(12)
@given(stack_pairs())
def test_exchanging_the_stacks_mirrors_marks_and_pairs(
    pair: tuple[tuple[Layer, ...], tuple[Layer, ...]],
) -> None:
    forth, back = aligned(*pair), aligned(*pair[::-1])
    assert sorted(forth.matches) == sorted((i, j) for j, i in back.matches)
    assert sorted(forth.moves) == sorted((i, j) for j, i in back.moves)
    mirrored = Counter((MIRRORED.get(r.mark, r.mark), r.after, r.before) for r in rows(*pair))
    assert mirrored == Counter((r.mark, r.before, r.after) for r in rows(*pair[::-1]))


def applied(before: tuple[Layer, ...], marks: tuple[Row, ...]) -> list[Layer]:
    """What the rows make of a stack, ply by ply; kept and moved plies are taken from it, not from after."""
    stock = [layer for layer in before for _ in range(layer.plies)]
    lines = [n for n, layer in enumerate(before, start=1) for _ in range(layer.plies)]
    result: list[Layer] = []
    for row in marks:
        if row.before is not None:
            taken = [n for n, line in enumerate(lines) if line == row.before.line][: row.before.plies]
            assert len(taken) == row.before.plies
            plies = [stock[n] for n in taken]
            for n in reversed(taken):
                del stock[n], lines[n]
        if row.after is not None:
            written = Layer(**{k: getattr(row.after, k) for k in Layer.model_fields if hasattr(row.after, k)})
            new = [written] * row.after.plies
            result += plies if row.mark in ("kept", "moved") else new
    assert not stock, "every ply of before has a row"
    return result


@MANY
@given(stack_pairs())
def test_applying_the_marks_to_before_gives_after(pair: tuple[tuple[Layer, ...], tuple[Layer, ...]]) -> None:
    made = [layer.model_copy(update={"plies": 1}) for layer in applied(pair[0], rows(*pair))]
    assert values_of(plies_of(made, KINDS)) == values_of(plies_of(pair[1], KINDS))


@MANY
@given(stack_pairs())
def test_rows_count_every_ply_once(pair: tuple[tuple[Layer, ...], tuple[Layer, ...]]) -> None:
    listed = rows(*pair)
    for side, layup in zip(("before", "after"), pair, strict=True):
        counted: Counter[int] = Counter()
        for view in (getattr(row, side) for row in listed):
            counted[view.line if view else 0] += view.plies if view else 0
        assert {k: v for k, v in counted.items() if k} == {n: y.plies for n, y in enumerate(layup, 1)}
    after_lines = [row.after.line for row in listed if row.after]
    assert after_lines == sorted(after_lines)


def reference_cost(before: tuple[Layer, ...], after: tuple[Layer, ...]) -> tuple[float, int]:
    """Least cost and most kept plies, by trying every alignment from the mould side (own recursion)."""
    old = [y for y in before for _ in range(y.plies)]
    new = [y for y in after for _ in range(y.plies)]
    words = {"name", "source", "note", "tag", "extent", "plies"}

    def pairing(i: int, j: int) -> tuple[float, int] | None:
        a, b = old[i].model_dump(exclude=words), new[j].model_dump(exclude=words)
        if a == b:
            return 0.0, -1
        if a["material"] == b["material"]:
            return 1.0, 0
        return (1.5, 0) if KINDS[a["material"]] == KINDS[b["material"]] else None

    @cache
    def best(i: int, j: int) -> tuple[float, int]:
        if i == len(old) or j == len(new):
            return float(len(old) - i + len(new) - j), 0
        choices = [(1 + c, k) for c, k in (best(i + 1, j), best(i, j + 1))]
        if (pair := pairing(i, j)) is not None:
            cost, kept = best(i + 1, j + 1)
            choices.append((pair[0] + cost, pair[1] + kept))
        return min(choices)

    cost, kept = best(0, 0)
    return cost, -kept


@MANY
@given(stack_pairs())
def test_the_alignment_is_the_cheapest_and_keeps_the_most(
    pair: tuple[tuple[Layer, ...], tuple[Layer, ...]],
) -> None:
    found = aligned(*pair)
    marks = Counter(mark_of(found.before[i], found.after[j]) for i, j in found.matches)
    unmatched = len(found.before) + len(found.after) - 2 * len(found.matches)
    assert (marks["altered"] + 1.5 * marks["replaced"] + unmatched, marks["kept"]) == reference_cost(*pair)
    assert list(found.matches) == sorted(found.matches)


@MANY
@given(stack_pairs())
def test_no_identical_plies_are_left_over_on_both_sides(
    pair: tuple[tuple[Layer, ...], tuple[Layer, ...]],
) -> None:
    found = aligned(*pair)
    paired = (*found.matches, *found.moves)
    left = {p.values for n, p in enumerate(found.before) if n not in {i for i, _ in paired}}
    right = {p.values for n, p in enumerate(found.after) if n not in {j for _, j in paired}}
    assert not left & right
    assert all(found.before[i].values == found.after[j].values for i, j in found.moves)


def turned_over(layup: tuple[Layer, ...]) -> tuple[Layer, ...]:
    """The stack laid from its other face: order reversed, fabrics turned over, angles mirrored."""
    return tuple(
        layer.model_copy(
            update={
                "angle_deg": -layer.angle_deg,
                "flipped": layer.flipped != (KINDS[layer.material] == "reinforcement"),
            }
        )
        for layer in reversed(layup)
    )


@MANY
@given(st.lists(fabric_layers(("uni-600",)) | core_layers(), min_size=1, max_size=5).map(tuple))
def test_a_reversed_stack_is_recognised(layup: tuple[Layer, ...]) -> None:
    plies = plies_of(layup, KINDS)
    for other in (layup[::-1], turned_over(layup)):
        there = plies_of(other, KINDS)
        assert is_upside_down(plies, there) == (values_of(plies) != values_of(there))
        assert is_upside_down(there, plies) == is_upside_down(plies, there)
