"""Why the figures of a zone changed: the share of layup, geometry, materials, process and prices."""

from collections.abc import Mapping
from itertools import pairwise

from recipe_track.impact.game import CAUSE_KEYS, State, ZoneGame
from recipe_track.impact.mixture import PLAYERS
from recipe_track.impact.outcome import Causes, Edit
from recipe_track.impact.shapley import coalition_weight, shapley

Worth = Mapping[State, float]


def cause_keys(game: ZoneGame) -> tuple[str, ...]:
    """The figures that exist on both sides; costs only where both have prices in one currency."""
    comparable = game.mixture.before.library.prices is not None
    return tuple(
        key
        for key in CAUSE_KEYS
        if (key != "cost" or comparable) and all(getattr(end, key) is not None for end in game.ends)
    )


def worth(game: ZoneGame, key: str, states: list[State]) -> Worth | None:
    """A figure in each of the states; None where one of them has none."""
    values = {state: getattr(game.values[state], key) for state in states}
    return None if None in values.values() else values


def zone_causes(game: ZoneGame) -> tuple[Causes | None, str | None]:
    """Shares of every cause in the delta of every figure, or why they cannot be told."""
    if game.failure is not None:
        return None, f"a combination of before and after cannot be computed: {game.failure}"
    causes = {}
    for key in cause_keys(game):
        value = worth(game, key, list(game.cause_states()))
        if value is None:
            return None, f"a combination of before and after has no {key}"
        causes[key] = _shares(game, value)
    return causes, None


def _shares(game: ZoneGame, value: Worth) -> dict[str, float]:
    players = game.players
    others = (1 << len(game.others)) - 1
    layup = {0: 0, 1: game.all_edits}
    listed = [value[mask & others, layup[mask >> len(game.others)]] for mask in range(1 << len(players))]
    return {**dict.fromkeys(PLAYERS, 0.0), **dict(zip(players, shapley(listed), strict=True))}


def edits_of(game: ZoneGame) -> tuple[tuple[Edit, ...], str | None]:
    """Share of each edit in the `layup` cause, and a note on how it was told.

    Within each combination of the other causes the edits share what the whole layup adds there, weighted as
    the layup's own share is: the Owen value of the edits, which adds up to the layup cause for every figure.
    Mass and cost are sums over layers, so that theirs are exact and depend on no order.
    """
    if game.failure is not None or not game.edits:
        return (), None
    states = list(game.edit_states())
    known = {key: worth(game, key, states) for key in cause_keys(game)}
    shares = {key: _edit_shares(game, value) for key, value in known.items() if value is not None}
    edits = []
    for n, place in enumerate(game.edits):
        row = game.rows.rows[place]
        effects = {key: share[n] for key, share in shares.items()}
        edits.append(Edit(place, row.mark, row.before, row.after, effects))
    return tuple(edits), _edits_note(game, [key for key, value in known.items() if value is None])


def _edits_note(game: ZoneGame, unknown: list[str]) -> str | None:
    notes = [f"{key} does not exist with only some of the edits" for key in unknown]
    if not game.in_all_orders:
        notes.append("more than 8 edits: their shares of the stiffness follow file order")
    return "; ".join(notes) or None


def _edit_shares(game: ZoneGame, value: Worth) -> list[float]:
    n = len(game.others)
    total = [0.0] * len(game.edits)
    for mask in range(1 << n):
        listed = [value[mask, made] for made in game.edit_sets()]
        within = shapley(listed) if game.in_all_orders else _in_file_order(listed)
        weight = coalition_weight(mask.bit_count(), n + 1)
        total = [t + weight * share for t, share in zip(total, within, strict=True)]
    return total


def _in_file_order(values: list[float]) -> list[float]:
    return [after - before for before, after in pairwise(values)]
