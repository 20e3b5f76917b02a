"""Which moves cover an edit: the edit itself, the same edit moved, or a chain of these, to the very blob."""

from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from recipe_track.trail.edits import NONE
from recipe_track.trail.moves import Move, Moves, Token
from recipe_track.trail.near import Near
from recipe_track.trail.texts import Delta, Texts

MOST_TRIES = 1000  # steps tried for one edit; an honest one takes hardly more than it holds moves
MOST_STEPS = 40
FEW = 40  # tokens of a set that are found one by one

Chain = tuple[Move, ...]


@dataclass
class Bits:
    """Sets of tokens as numbers, so that thousands of them are joined and compared in one step."""

    tokens: list[Token] = field(default_factory=list)
    _place: dict[Token, int] = field(default_factory=dict)

    def mask(self, tokens: Iterable[Token]) -> int:
        """A set of tokens."""
        found = 0
        for token in tokens:
            if token not in self._place:
                self._place[token] = len(self.tokens)
                self.tokens.append(token)
            found |= 1 << self._place[token]
        return found

    def bit(self, token: Token) -> int:
        """A set of one token; nothing where it never landed."""
        place = self._place.get(token)
        return 0 if place is None else 1 << place

    def has(self, mask: int, token: Token) -> bool:
        """Whether a set holds a token."""
        place = self._place.get(token)
        return place is not None and bool(mask >> place & 1)

    def within(self, mask: int) -> list[Token]:
        """The tokens of a set, in the order in which they first landed."""
        if mask.bit_count() > FEW:  # each step below is as long as the whole set
            return [
                token for token, bit in zip(self.tokens, reversed(f"{mask:b}"), strict=False) if bit == "1"
            ]
        found = []
        while mask:
            low = mask & -mask
            found.append(self.tokens[low.bit_length() - 1])
            mask ^= low
        return found


@dataclass(frozen=True, slots=True)
class Question:
    """An edit of a file that holds some tokens already; `carried` may land on it without a decision."""

    path: str
    before: str
    after: str
    have: int
    carried: int = 0
    decided: bool = True  # only by what was decided
    renames: tuple[str, str] | None = None
    claims: tuple[str, ...] = ()
    records: int = 0
    present: bool = False  # only by what is claimed or recorded there


@dataclass
class Coverer:
    """Answers questions out of all moves there are."""

    texts: Texts
    moves: Moves
    bits: Bits
    record_of: Mapping[str, str]  # path of the record by change
    near: Near = field(init=False)

    def __post_init__(self) -> None:
        self.near = Near(self.texts, self.moves)

    def cover(self, asked: Question) -> Chain | None:
        """The moves that make up an edit, none for one of line ends alone; None where nothing covers it."""
        chain = self._exact(asked)
        if asked.renames is None and self.texts.same(asked.before, asked.after):
            return chain if chain and len(chain) == 1 else ()  # no detour for line ends, by a rename say
        if chain is not None:
            return chain
        plain = replace(asked, before=self.texts.plain(asked.before), after=self.texts.plain(asked.after))
        near = self.near.to(asked.path, plain.before, plain.after)
        usable = [move for move in near if self._usable(move, asked)]
        usable.sort(key=lambda move: self._order(move, asked))
        search = _Search(self.texts, plain, usable)
        return search.find() if usable and search.may_succeed() else None

    def _usable(self, move: Move, asked: Question) -> bool:
        has = self.bits.has
        if any(has(asked.have, token) for token in move.tokens):
            return False
        if not all(has(asked.have, token) for token in move.needs):
            return False
        if asked.present and self.is_absent(move, asked):
            return False
        carried = asked.carried and all(has(asked.carried, token) for token in move.tokens)
        return bool(carried) or move.decided or not asked.decided

    def _order(self, move: Move, asked: Question) -> tuple[bool, bool, int]:
        """A trailer proves nothing, but where two decisions fit, it is as good a choice as any."""
        unclaimed = all(token.change not in asked.claims for token in move.tokens)
        return unclaimed, self.is_absent(move, asked), len(move.tokens)

    def is_absent(self, move: Move, asked: Question) -> bool:
        """Whether the commit neither holds the record of the change nor claims it: it may come later."""
        change = move.tokens[0].change
        record = Token("record", self.record_of.get(change, ""), 0)
        return change not in asked.claims and not self.bits.has(asked.records, record)

    def _exact(self, asked: Question) -> Chain | None:
        """The shortest chain of the very blobs, found without any text."""
        start, goal = (asked.before, False), (asked.after, asked.renames is not None)
        came: dict[tuple[str, bool], Chain] = {start: ()}
        line = deque([start])
        while line:
            here = line.popleft()
            for move in self._next(here, asked):
                there = (move.after, here[1] or move.renames is not None)
                if there in came or _overlap(move, came[here]):
                    continue
                came[there] = (*came[here], move)
                if there == goal:
                    return came[there]
                line.append(there)
        return None

    def _next(self, here: tuple[str, bool], asked: Question) -> list[Move]:
        blob, renamed = here
        fitting = [
            move
            for move in self.moves.starting(asked.path, blob)
            if (move.renames is None or (move.renames == asked.renames and not renamed))
            and self._usable(move, asked)
        ]
        return sorted(fitting, key=lambda move: self._order(move, asked))


@dataclass
class _Search:
    """One edit carried over by moves, step by step, each towards the lines that are wanted."""

    texts: Texts
    asked: Question
    usable: Sequence[Move]
    tries: int = MOST_TRIES

    def may_succeed(self) -> bool:
        """Whether every line that came or went is one that some move brings or takes."""
        came, gone = self.texts.delta(self.asked.before, self.asked.after)
        deltas = [self.texts.delta(move.before, move.after) for move in self.usable]
        return all(any(line in delta[0] for delta in deltas) for line in came) and all(
            any(line in delta[1] for delta in deltas) for line in gone
        )

    def find(self) -> Chain | None:
        renamed = self.asked.renames is None
        return self._from(self.asked.before, renamed, (), 1) or self._from(
            self.asked.before, renamed, (), MOST_STEPS
        )

    def _from(self, here: str, renamed: bool, chain: Chain, steps: int) -> Chain | None:
        wanted = self.texts.delta(here, self.asked.after)
        for move in self.usable:
            if not self._fits(move, renamed, chain, wanted):
                continue
            done, longer = renamed or move.renames is not None, (*chain, move)
            for there in self._carried(here, move):
                if done and there == self.asked.after:
                    return longer
                idle = there == here and move.renames is None
                if len(longer) < steps and not idle and (found := self._from(there, done, longer, steps)):
                    return found
        return None

    def _fits(self, move: Move, renamed: bool, chain: Chain, wanted: Delta) -> bool:
        if move.renames is not None and (renamed or move.renames != self.asked.renames):
            return False
        if _overlap(move, chain):
            return False
        if move.renames is not None or not (wanted[0] or wanted[1]):
            return True
        came, gone = self.texts.delta(move.before, move.after)
        if not (came or gone):  # lines in another order
            return True
        return bool(came & wanted[0] or gone & wanted[1])

    def _carried(self, here: str, move: Move) -> Iterable[str]:
        """Where a move leads from a text: as decided, or by a clean merge."""
        if self.tries <= 0:
            return ()
        self.tries -= 1
        if self.texts.same(here, move.before):
            return (self.texts.plain(move.after),)
        if NONE in (here, move.before, move.after):
            return ()
        return self.texts.merged(self.asked.path, move.before, here, move.after)


def _overlap(move: Move, chain: Chain) -> bool:
    return any(token in other.tokens for other in chain for token in move.tokens)
