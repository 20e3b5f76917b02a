"""Fair shares of an effect that several changes had together."""

from collections.abc import Sequence
from math import factorial


def shapley(values: Sequence[float]) -> list[float]:
    """Each player's share of `values[-1] - values[0]`: the mean of what it adds over all orders of joining.

    `values[mask]` is the value with the players of the set bits; 2ⁿ of them for n players.

    References
    ----------
    L. S. Shapley, A value for n-person games, 1953 (from memory).
    """
    n = len(values).bit_length() - 1
    return [
        sum(
            coalition_weight(mask.bit_count(), n) * (values[mask | 1 << player] - values[mask])
            for mask in range(len(values))
            if not mask >> player & 1
        )
        for player in range(n)
    ]


def coalition_weight(joined: int, n: int) -> float:
    """Share of all orders of n players in which exactly a given set of `joined` comes before a player."""
    return factorial(joined) * factorial(n - joined - 1) / factorial(n)
