"""Two stacks ply by ply: which ply of the one became which ply of the other."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from recipe_track.recipe.layup import Layer

Pair = tuple[int, int]
Slot = tuple[int | None, int | None]
# In half units, so that costs are whole numbers: alter 1, replace 1.5, add or remove 1 each.
ALTER, REPLACE, GAP = 2, 3, 2
FIRST_GUESS = 12  # half units beyond the plies that must come or go: some four edits


def _exchanged(pairs: Sequence[Pair]) -> tuple[Pair, ...]:
    return tuple((j, i) for i, j in pairs)


Kinds = Mapping[str, str]
PlyValues = tuple[str, str, float, float, bool, float, float, str, str, float, int, str]


@dataclass(frozen=True, slots=True)
class Ply:
    """One ply of a line; `values` holds everything written of it but words (note, tag, extent)."""

    line: int
    layer: Layer
    kind: str
    values: PlyValues


@dataclass(frozen=True, slots=True)
class Alignment:
    """Plies of both stacks; `matches` rise on both sides, `moves` pair identical plies left over."""

    before: tuple[Ply, ...]
    after: tuple[Ply, ...]
    matches: tuple[Pair, ...]
    moves: tuple[Pair, ...]

    def slots(self) -> Iterator[Slot]:
        """Places of the common order, mould side first: matched, else before's own ahead of after's own."""
        i = j = 0
        for old, new in (*self.matches, (len(self.before), len(self.after))):
            yield from ((n, None) for n in range(i, old))
            yield from ((None, n) for n in range(j, new))
            if old < len(self.before):
                yield old, new
            i, j = old + 1, new + 1


def align(before: Sequence[Layer], after: Sequence[Layer], kinds: Kinds) -> Alignment:
    """The cheapest alignment; ties go to more kept plies, then to matches nearest the mould.

    What is still tied is settled by content and not by side, so that exchanging the stacks mirrors it.
    """
    old, new = plies_of(before, kinds), plies_of(after, kinds)
    if values_of(old) <= values_of(new):
        matches = _matches(old, new)
        return Alignment(old, new, matches, _moves(old, new, matches))
    matches = _matches(new, old)
    moves = _moves(new, old, matches)
    return Alignment(old, new, _exchanged(matches), _exchanged(moves))


def _matches(one: Sequence[Ply], two: Sequence[Ply]) -> tuple[Pair, ...]:
    costs = _PairCosts(one, two)
    rest = _cheapest_rests(costs)
    matches: list[Pair] = []
    at: Pair | None = (0, 0)
    while at is not None:
        found = _nearest_match(costs, rest, at)
        if found is not None:
            matches.append(found)
        at = found and (found[0] + 1, found[1] + 1)
    return tuple(matches)


class _PairCosts:
    """What it costs to pair any two plies, None where they never pair; a kept pair wins every tie.

    One number holds both wishes: half units of cost times `unit`, less one for each kept pair.
    """

    def __init__(self, one: Sequence[Ply], two: Sequence[Ply]) -> None:
        self.shape = (len(one), len(two))
        self.unit = min(self.shape) + 1
        self.gap = GAP * self.unit
        known: dict[PlyValues, int] = {}
        self._one, self._two = ([known.setdefault(ply.values, len(known)) for ply in s] for s in (one, two))
        self._words = [values[:2] for values in known]
        self._costs: dict[Pair, int | None] = {}

    def of(self, i: int, j: int) -> int | None:
        """The cost of ply i of the one and ply j of the other, worked out once for plies that are alike."""
        pair = self._one[i], self._two[j]
        if pair not in self._costs:
            self._costs[pair] = self._cost(*pair)
        return self._costs[pair]

    def _cost(self, a: int, b: int) -> int | None:
        if a == b:
            return -1
        (material, kind), (other, other_kind) = self._words[a], self._words[b]
        if kind != other_kind:
            return None
        return (ALTER if material == other else REPLACE) * self.unit


class _Rests:
    """Cost of aligning what is left from ply i of the one and ply j of the other to the bag side.

    Only cells near the diagonal are worked out: one that lies d plies off it costs d gaps to come to and as
    many to leave, so that with a known whole cost none further off can lie on a cheapest alignment.
    """

    def __init__(self, costs: _PairCosts, most_half_units: int) -> None:
        n, m = costs.shape
        spare = max(0, most_half_units // GAP - abs(n - m)) // 2
        self.low, self.high = min(0, m - n) - spare, max(0, m - n) + spare  # of j - i
        self.cells = 0
        beyond = (n + m + 1) * costs.gap * 2
        gap = costs.gap
        rows: list[list[int]] = [[]] * (n + 1)
        width = self.high - self.low + 1
        below = [beyond] * (width + 1)
        for i in range(n, -1, -1):
            here = [beyond] * (width + 1)
            for at in range(min(self.high, m - i) - self.low, max(self.low, -i) - self.low - 1, -1):
                j = i + self.low + at
                self.cells += 1
                if i == n:
                    here[at] = (m - j) * gap
                    continue
                # `below` is row i + 1, whose columns stand one further on
                best = gap + min(below[at - 1] if at else beyond, here[at + 1])
                pair = costs.of(i, j) if j < m else None
                if pair is not None and pair + below[at] < best:
                    best = pair + below[at]
                here[at] = best
            rows[i] = below = here
        self._rows, self._beyond = rows, beyond

    def at(self, i: int, j: int) -> int:
        """The cost from one cell on; more than any alignment costs where it is too far off."""
        place = j - i - self.low
        return self._rows[i][place] if 0 <= place <= self.high - self.low else self._beyond


def _cheapest_rests(costs: _PairCosts) -> _Rests:
    """The rests in a band that holds every cheapest alignment; a first guess shows how wide that is."""
    n, m = costs.shape
    guess = GAP * abs(n - m) + FIRST_GUESS
    rests = _Rests(costs, guess)
    found = -(-rests.at(0, 0) // costs.unit)  # half units, the bonus of kept pairs given back
    return rests if found <= guess else _Rests(costs, found)


def _nearest_match(costs: _PairCosts, rest: _Rests, at: Pair) -> Pair | None:
    """The first pair from `at` towards the bag side that lies on a cheapest alignment."""
    i, j = at
    n, m = costs.shape
    left = rest.at(i, j)
    for skipped in range(min(n - i + m - j - 1, left // costs.gap + 2)):
        for a in range(max(0, skipped - (m - j - 1)), min(skipped, n - i - 1) + 1):
            one, two = i + a, j + skipped - a
            if not rest.low <= two - one <= rest.high:
                continue
            pair = costs.of(one, two)
            if pair is not None and left == skipped * costs.gap + pair + rest.at(one + 1, two + 1):
                return one, two
    return None


def _moves(one: Sequence[Ply], two: Sequence[Ply], matches: Sequence[Pair]) -> tuple[Pair, ...]:
    """Identical plies left over on both sides, nearest first."""
    left = set(range(len(one))) - {i for i, _ in matches}
    right = set(range(len(two))) - {j for _, j in matches}
    candidates = sorted(
        (abs(i - j), i + j, i, j) for i in left for j in right if one[i].values == two[j].values
    )
    moves = []
    for _, _, i, j in candidates:
        if i in left and j in right:
            left.remove(i)
            right.remove(j)
            moves.append((i, j))
    return tuple(moves)


def plies_of(layup: Sequence[Layer], kinds: Kinds) -> tuple[Ply, ...]:
    """Every ply of a layup, mould side first; `kinds` tells the kind of each material."""
    return tuple(
        ply
        for line, layer in enumerate(layup, start=1)
        for ply in [_ply(line, layer, kinds.get(layer.material, ""))] * layer.plies
    )


def _ply(line: int, layer: Layer, kind: str) -> Ply:
    values = (
        layer.material,
        kind,
        layer.angle_deg,
        layer.thickness_mm or 0.0,
        layer.flipped,
        layer.coverage_fraction,
        layer.fibre_mass_fraction or 0.0,
        layer.process or "",
        layer.resin or "",
        -1.0 if layer.uptake_g_m2 is None else layer.uptake_g_m2,
        layer.stage,
        layer.on,
    )
    return Ply(line, layer, kind, values)


def values_of(plies: Sequence[Ply]) -> tuple[PlyValues, ...]:
    """The values of a stack, comparable and sortable."""
    return tuple(ply.values for ply in plies)


def is_upside_down(before: Sequence[Ply], after: Sequence[Ply]) -> bool:
    """Whether after is before listed from the other face, as it lies or with every ply turned over.

    A stack that reads the same from both faces has not been reversed.
    """
    old, new = values_of(before), values_of(after)
    if len(old) != len(new) or old == new:
        return False
    if old[::-1] == new:
        return True
    return [_turned(ply) for ply in reversed(before)] == [_half_turn(ply.values) for ply in after]


def _turned(ply: Ply) -> PlyValues:
    """A ply seen from its other face: its angle negated and, for a fabric, its faces exchanged."""
    material, kind, angle, thickness, flipped, *rest = ply.values
    other_face = not flipped if kind == "reinforcement" else flipped
    return _half_turn((material, kind, -angle, thickness, other_face, *rest))  # type: ignore[arg-type]


def _half_turn(values: PlyValues) -> PlyValues:
    """An angle and the same angle half a turn on are one direction."""
    return (*values[:2], values[2] % 180.0, *values[3:])
