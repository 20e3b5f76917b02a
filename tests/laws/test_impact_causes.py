"""Laws of causes, edits and deltas on random pairs of whole recipes."""

from dataclasses import replace
from itertools import permutations
from math import factorial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recipe_track.figures.craft import figures_of
from recipe_track.impact.causes import shapley
from recipe_track.impact.combinations import PLAYERS
from recipe_track.impact.comparing import compare_models
from recipe_track.impact.effects import Causes, Deltas, Impact, ZoneImpact
from recipe_track.recipe.snapshot import Snapshot
from tests.laws.profiles import examples
from tests.laws.strategies import MODEL, edited_snapshots, number, price_lists, snapshot_pairs, snapshots

Pair = tuple[Snapshot, Snapshot]
FEW = examples(0.4)
WITHIN = 1e-9


def compared(before: Snapshot, after: Snapshot, with_causes: bool = True) -> Impact:
    figures = figures_of(before, MODEL), figures_of(after, MODEL)
    return compare_models(before, after, MODEL, *figures, with_causes=with_causes)


def holds(causes: Causes, figures: Deltas) -> None:
    """Every cause sheet adds up to its delta."""
    for key, shares in causes.items():
        delta = figures[key]
        assert delta.delta is not None
        within = WITHIN * max(abs(delta.before or 0), abs(delta.after or 0))
        assert sum(shares.values()) == pytest.approx(delta.delta, rel=0, abs=within), key


@FEW
@given(snapshot_pairs())
def test_causes_add_up_to_deltas_and_edits_to_the_layup_cause(pair: Pair) -> None:
    impact = compared(*pair)
    for zone in impact.zones:
        assert zone.causes is not None, zone.causes_note
        holds(zone.causes, zone.figures)
        assert all(set(shares) == set(PLAYERS) for shares in zone.causes.values())
        edits_hold(zone)
    for part in impact.parts:
        assert part.causes is not None
        holds(part.causes, part.figures)
    assert impact.craft.causes is not None
    assert set(impact.craft.causes) == {"mass_kg", "cost"}
    assert all(set(shares) == {*PLAYERS, "other_masses"} for shares in impact.craft.causes.values())
    holds(impact.craft.causes, impact.craft.figures)


def edits_hold(zone: ZoneImpact) -> None:
    """The edits of a layup add up to its `layup` cause."""
    for key, shares in (zone.causes or {}).items():
        effects = [edit.effects[key] for edit in zone.edits if key in edit.effects]
        if effects:
            assert len(effects) == len(zone.edits)
            size = max(abs(value) for value in (*effects, zone.figures[key].before, zone.figures[key].after))
            assert sum(effects) == pytest.approx(shares["layup"], rel=0, abs=WITHIN * size), key


@FEW
@given(snapshot_pairs())
def test_looking_backwards_turns_every_sign(pair: Pair) -> None:
    """No order of players is preferred, so that the shares of the way back are those of the way there."""
    forth, back = compared(*pair), compared(*pair[::-1])
    there = {(zone.before_zone, _after(zone)): zone for zone in forth.zones}
    home = {(_after(zone), zone.before_zone): zone for zone in back.zones}
    assert there.keys() == home.keys()
    for names, zone in there.items():
        for key, shares in (zone.causes or {}).items():
            size = max(abs(zone.figures[key].before or 0), abs(zone.figures[key].after or 0))
            opposite = {player: -value for player, value in (home[names].causes or {})[key].items()}
            assert shares == pytest.approx(opposite, rel=1e-6, abs=WITHIN * size), key


def _after(zone: ZoneImpact) -> str | None:
    return None if zone.status == "removed" else zone.zone


@FEW
@given(snapshots())
def test_a_recipe_compared_with_itself_has_no_effect(snapshot: Snapshot) -> None:
    impact = compared(snapshot, snapshot)
    assert {zone.status for zone in impact.zones} == {"unchanged"}
    assert all(not zone.edits for zone in impact.zones)
    for causes in (*(z.causes for z in impact.zones), *(p.causes for p in impact.parts), impact.craft.causes):
        assert {value for shares in (causes or {}).values() for value in shares.values()} == {0.0}


@FEW
@given(st.data())
def test_a_cause_that_did_not_change_has_no_share(data: st.DataObject) -> None:
    """Only prices change: everything else stays at exactly nothing."""
    before = data.draw(snapshots())
    after = replace(before, prices=data.draw(price_lists()))
    impact = compared(before, after)
    for causes in (*(z.causes for z in impact.zones), *(p.causes for p in impact.parts), impact.craft.causes):
        for key, shares in (causes or {}).items():
            allowed = {"prices"} if key == "cost" else set()
            assert {player for player, value in shares.items() if value} <= allowed


@FEW
@given(st.data())
def test_deltas_of_two_steps_add_up_to_that_of_both(data: st.DataObject) -> None:
    first = data.draw(snapshots())
    second = data.draw(edited_snapshots(first))
    third = data.draw(edited_snapshots(second))
    steps = [compared(*step, with_causes=False).craft.figures for step in ((first, second), (second, third))]
    whole = compared(first, third, with_causes=False).craft.figures
    for key, delta in whole.items():
        parts = [step[key].delta for step in steps]
        if delta.delta is not None and None not in parts:
            size = max(abs(delta.before or 0), abs(delta.after or 0), abs(steps[0][key].after or 0))
            assert sum(p or 0 for p in parts) == pytest.approx(delta.delta, rel=0, abs=1e-12 * size), key


# The Shapley values themselves


def games(players: int) -> st.SearchStrategy[list[float]]:
    return st.lists(number(-100, 100), min_size=2**players, max_size=2**players)


@given(games(4))
def test_shares_are_the_mean_over_all_orders_of_joining(values: list[float]) -> None:
    """The definition, taken literally: 24 orders of four players."""
    shares = [0.0] * 4
    for order in permutations(range(4)):
        mask = 0
        for player in order:
            shares[player] += (values[mask | 1 << player] - values[mask]) / factorial(4)
            mask |= 1 << player
    assert shapley(values) == pytest.approx(shares, abs=1e-9)


@given(games(3))
def test_a_player_that_never_adds_anything_gets_nothing(values: list[float]) -> None:
    dummy = [values[mask & 0b011] for mask in range(8)]
    assert shapley(dummy)[2] == 0.0


@given(games(3))
def test_players_that_play_the_same_role_get_the_same(values: list[float]) -> None:
    """Players 0 and 1 may be exchanged in every coalition."""
    alike = [values[mask & 0b100 | min(mask & 0b11, 1) if mask & 0b11 != 0b11 else mask] for mask in range(8)]
    shares = shapley(alike)
    assert shares[0] == pytest.approx(shares[1], abs=1e-9)


@given(games(3), games(3))
def test_shares_of_a_sum_are_sums_of_shares(one: list[float], two: list[float]) -> None:
    both = [a + b for a, b in zip(one, two, strict=True)]
    sums = [a + b for a, b in zip(shapley(one), shapley(two), strict=True)]
    assert shapley(both) == pytest.approx(sums, abs=1e-9)
