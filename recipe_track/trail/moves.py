"""What may cover an edit: the edits of changes, single and composed, as moves from text to text."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal, NamedTuple

from recipe_track.trail.edits import NONE, Change, Edit
from recipe_track.trail.texts import Texts

MOST_STRETCHED = 30  # commits of a proposal; of more, only stretches from the first one on

Kind = Literal["landed", "taken back", "finding", "first", "free", "unseen", "record"]
Formerly = Callable[[str, bytes], Iterable[str]]  # path and text → the paths the same file had before


class Token(NamedTuple):
    """Something that landed on a file. A set of tokens only ever grows along a line of commits.

    Of a change's edit (by its number) it is the change; else the edit itself, counted when it is done again.
    """

    kind: Kind
    change: str
    number: int
    edit: Edit | None = None


@dataclass(frozen=True, slots=True)
class Move:
    """A file may go from one blob to another, and these tokens land with it."""

    tokens: tuple[Token, ...]
    before: str
    after: str
    decided: bool  # by an approval, or by a rejection that asks for the taking back
    needs: tuple[Token, ...] = ()  # on the file already: what is taken back
    renames: tuple[str, str] | None = None  # old and new path


class Names:
    """Which paths are the same file under two names."""

    def __init__(self, formerly: Formerly, texts: Texts) -> None:
        self._formerly = formerly
        self._texts = texts
        self._up: dict[str, str] = {}
        self._known: dict[tuple[str, str], frozenset[str]] = {}

    def of(self, path: str) -> str:
        """One name for all names of a file."""
        while path in self._up:
            path = self._up[path]
        return path

    def former(self, path: str, blob: str) -> frozenset[str]:
        """The paths that a text says it had before."""
        key = (path, blob)
        if key not in self._known:
            text = self._texts.text(blob)
            self._known[key] = frozenset() if text is None else frozenset(self._formerly(path, text))
        return self._known[key]

    def pairs(self, edits: Sequence[Edit]) -> list[tuple[Edit, Edit]]:
        """Deletions and creations of one commit or change that are one file renamed."""
        gone = {edit.path: edit for edit in edits if edit.after == NONE}
        came = [edit for edit in edits if edit.before == NONE] if gone else []
        found: list[tuple[Edit, Edit]] = []
        for edit in came:
            old = next((name for name in sorted(self.former(edit.path, edit.after)) if name in gone), None)
            if old is not None:
                found.append((gone.pop(old), edit))
        return found

    def join(self, old: str, new: str) -> None:
        """Note that two paths are one file."""
        if self.of(old) != self.of(new):
            self._up[self.of(new)] = self.of(old)


@dataclass
class Moves:
    """The moves of every file, by the blob they start from."""

    names: Names
    _of: dict[str, list[Move]] = field(default_factory=lambda: defaultdict(list))
    _exact: dict[str, dict[str, list[Move]]] | None = None

    def add(self, path: str, move: Move) -> None:
        """One more move of a file, whatever name it goes by."""
        name = self.names.of(path)
        self._of[name].append(move)
        if self._exact is not None:
            self._exact.setdefault(name, defaultdict(list))[move.before].append(move)

    def of(self, path: str) -> Sequence[Move]:
        """All moves of a file."""
        return self._of.get(self.names.of(path), ())

    def starting(self, path: str, before: str) -> Sequence[Move]:
        """The moves of a file that start from a blob."""
        if self._exact is None:
            self._exact = {name: defaultdict(list) for name in self._of}
            for name, moves in self._of.items():
                for move in moves:
                    self._exact[name][move.before].append(move)
        return self._exact.get(self.names.of(path), {}).get(before, ())


def moves_of(changes: Iterable[Change], names: Names) -> Moves:
    """Every move that changes hold. Names are joined first: a move belongs to the file, not to its path."""
    renamed = {change.id: names.pairs(change.edits) for change in changes}
    for pairs in renamed.values():
        for gone, came in pairs:
            names.join(gone.path, came.path)
    moves = Moves(names)
    for change in changes:
        for path, move in _moves(change, renamed[change.id], names):
            moves.add(path, move)
    return moves


def token(change: Change, number: int) -> Token:
    """The token of one edit of a change."""
    return Token("landed", change.id, number)


def finding_move(edit: Edit, made: Token) -> Move:
    """What no decision covers may still be carried by a merge."""
    return Move((made,), edit.before, edit.after, decided=False)


def _moves(change: Change, renamed: Sequence[tuple[Edit, Edit]], names: Names) -> Iterator[tuple[str, Move]]:
    singles = [
        (edit.path, Move((token(change, n),), edit.before, edit.after, change.standing == "approved"))
        for n, edit in enumerate(change.edits)
    ]
    renames = [_rename(change, gone, came) for gone, came in renamed]
    every = [*singles, *renames]
    every += _composed(singles, renames, names)
    yield from every
    if change.standing == "rejected":
        yield from ((path, _taking_back(move)) for path, move in every)


def _rename(change: Change, gone: Edit, came: Edit) -> tuple[str, Move]:
    tokens = (token(change, change.edits.index(gone)), token(change, change.edits.index(came)))
    decided = change.standing == "approved"
    return came.path, Move(tokens, gone.before, came.after, decided, renames=(gone.path, came.path))


def _taking_back(move: Move) -> Move:
    """The move that a rejection asks for."""
    tokens = tuple(Token("taken back", landed.change, landed.number) for landed in reversed(move.tokens))
    renames = (move.renames[1], move.renames[0]) if move.renames else None
    return Move(tokens, move.after, move.before, True, needs=move.tokens, renames=renames)


def _composed(
    singles: Sequence[tuple[str, Move]], renames: Sequence[tuple[str, Move]], names: Names
) -> Iterator[tuple[str, Move]]:
    """What several commits of one proposal did to one file together, for every stretch of them."""
    spent = {landed for _, move in renames for landed in move.tokens}
    rows: Mapping[str, list[tuple[str, Move]]] = defaultdict(list)
    for path, move in [*singles, *renames]:
        if move.renames or not spent & set(move.tokens):
            rows[names.of(path)].append((path, move))
    for row in rows.values():
        row.sort(key=lambda item: item[1].tokens[0].number)
        for start in range(len(row) if len(row) <= MOST_STRETCHED else 1):
            for end in range(start + 2, len(row) + 1):
                if not all(a.after == b.before for (_, a), (_, b) in pairwise(row[start:end])):
                    break
                if sum(move.renames is not None for _, move in row[start:end]) < 2:
                    yield row[end - 1][0], _one(tuple(move for _, move in row[start:end]))


def _one(moves: tuple[Move, ...]) -> Move:
    tokens = tuple(landed for move in moves for landed in move.tokens)
    renames = next((move.renames for move in moves if move.renames), None)
    return Move(tokens, moves[0].before, moves[-1].after, moves[0].decided, renames=renames)
