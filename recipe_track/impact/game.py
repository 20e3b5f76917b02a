"""The combinations of one changed zone: which are needed, and what each is worth."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from recipe_track.figures.cases import ZoneCase
from recipe_track.figures.plies import NotComputable
from recipe_track.figures.zone import ZoneFigures, zone_figures
from recipe_track.impact.align import Alignment
from recipe_track.impact.mixture import Mixture, Player
from recipe_track.impact.rows import Rows, changed_rows
from recipe_track.recipe.layup import Layer

CAUSE_KEYS = ("mass_kg", "ei_x_kn_m2_per_m", "ei_y_kn_m2_per_m", "deflection_mm", "cost")
MOST_EDITS_IN_ALL_ORDERS = 8

# Bits of the players at after (in the order of `others`), bits of the edits made.
State = tuple[int, int]


@dataclass(slots=True)
class ZoneGame:
    """A zone on both sides, its players, its edits, and the figures of every combination once evaluated."""

    mixture: Mixture
    alignment: Alignment
    rows: Rows
    ends: tuple[ZoneFigures, ZoneFigures]
    others: tuple[Player, ...] = field(init=False)
    edits: tuple[int, ...] = field(init=False)
    values: dict[State, ZoneFigures] = field(init=False)
    failure: str | None = None

    def __post_init__(self) -> None:
        self.others = self.mixture.differing()
        self.edits = changed_rows(self.rows.rows)
        self.values = {self.last: self.ends[1], (0, 0): self.ends[0]}

    @property
    def players(self) -> tuple[Player, ...]:
        """Everything that differs; the layup, if it does, last."""
        return (*self.others, "layup") if self.edits else self.others

    @property
    def all_edits(self) -> int:
        """The bits of all edits."""
        return (1 << len(self.edits)) - 1

    @property
    def last(self) -> State:
        """The state in which everything is as after."""
        return (1 << len(self.others)) - 1, self.all_edits

    def cause_states(self) -> Iterator[State]:
        """The layup as a whole, in every combination with the others."""
        for mask in range(1 << len(self.others)):
            yield from {(mask, 0), (mask, self.all_edits)}

    def edit_states(self) -> Iterator[State]:
        """Every set of edits, or those made in file order, in every combination of the others."""
        for mask in range(1 << len(self.others)):
            for made in self.edit_sets():
                yield mask, made

    def edit_sets(self) -> Sequence[int]:
        """All sets of up to eight edits; of more, only those that file order passes through."""
        n = len(self.edits)
        return range(1 << n) if self.in_all_orders else [(1 << k) - 1 for k in range(n + 1)]

    @property
    def in_all_orders(self) -> bool:
        """Whether the edits are few enough for their Shapley values."""
        return len(self.edits) <= MOST_EDITS_IN_ALL_ORDERS

    def case(self, state: State) -> ZoneCase:
        """What one combination is computed from."""
        mask, made = state
        at_after = {player for n, player in enumerate(self.others) if mask >> n & 1}
        return self.mixture.case(at_after, self.layup(made))

    def layup(self, made: int) -> tuple[Layer, ...]:
        """Before's layup with only the edits of those bits made."""
        done = {row for n, row in enumerate(self.edits) if made >> n & 1}
        old, new = self.alignment.before, self.alignment.after
        plies: list[Layer] = []
        for i, j in self.alignment.slots():
            if j is not None and self.rows.of_after[j] in done:
                plies.append(new[j].layer)
            elif i is not None and self.rows.of_before[i] not in done:
                plies.append(old[i].layer)
        return tuple(_in_lines(plies))


def _in_lines(plies: Sequence[Layer]) -> Iterator[Layer]:
    """Plies gathered into lines again: equal neighbours are repeats of one layer."""
    at = 0
    while at < len(plies):
        end = at
        while end < len(plies) and plies[end] is plies[at]:
            end += 1
        layer = plies[at]
        yield layer if layer.plies == end - at else layer.model_copy(update={"plies": end - at})
        at = end


def evaluate(games: Sequence[ZoneGame], with_edits: bool) -> None:
    """Figures of every combination of every zone in one pass; a zone that cannot be computed is told so."""
    missing = {id(game): _missing(game, with_edits) for game in games}
    try:
        _fill(games, missing)
    except NotComputable:
        for game in games:
            try:
                _fill([game], missing)
            except NotComputable as fault:
                game.failure = str(fault)


def _missing(game: ZoneGame, with_edits: bool) -> Mapping[State, ZoneCase]:
    wanted = [*game.cause_states(), *(game.edit_states() if with_edits and game.edits else ())]
    return {state: game.case(state) for state in dict.fromkeys(wanted) if state not in game.values}


def _fill(games: Sequence[ZoneGame], missing: Mapping[int, Mapping[State, ZoneCase]]) -> None:
    cases = [case for game in games for case in missing[id(game)].values()]
    figures = iter(zone_figures(cases) if cases else ())
    for game in games:
        game.values.update(zip(missing[id(game)], figures, strict=False))
