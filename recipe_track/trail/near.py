"""Which moves can have a part in an edit: those that share a line with it, or with another such move."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from recipe_track.trail.edits import NONE
from recipe_track.trail.moves import Move, Moves
from recipe_track.trail.texts import Texts


@dataclass
class _File:
    """The moves of one file by the lines they bring or take."""

    known: int = 0  # how many of them are sorted in
    by_line: dict[bytes, list[int]] = field(default_factory=lambda: defaultdict(list))
    ends: list[int] = field(default_factory=list)  # creations and deletions
    everywhere: list[int] = field(default_factory=list)  # renames, and lines in another order


@dataclass
class Near:
    """Looks moves up by line, so that a file with thousands of edits costs no more than one with ten."""

    texts: Texts
    moves: Moves
    _files: dict[str, _File] = field(default_factory=lambda: defaultdict(_File))

    def to(self, path: str, before: str, after: str) -> list[Move]:
        """The moves that may have a part in an edit, in their order."""
        wanted = self.texts.delta(before, after)
        moves = self.moves.of(path)
        file = self._files[self.moves.names.of(path)]
        self._sort_in(file, moves)
        lines = [*wanted[0], *wanted[1]]
        if not lines:
            return list(moves)
        found = {*file.everywhere, *(file.ends if NONE in (before, after) else ())}
        seen = set(lines)
        while lines:
            for place in file.by_line.get(lines.pop(), ()):
                if place not in found:
                    found.add(place)
                    fresh = set(self._lines(moves[place])) - seen
                    seen |= fresh
                    lines += fresh
        return [moves[place] for place in sorted(found)]

    def _sort_in(self, file: _File, moves: Sequence[Move]) -> None:
        for place in range(file.known, len(moves)):
            lines = set(self._lines(moves[place]))
            if NONE in (moves[place].before, moves[place].after):
                file.ends.append(place)  # these share every line there is, and move nowhere
                continue
            if moves[place].renames is not None or not lines:
                file.everywhere.append(place)
            for line in lines:
                file.by_line[line].append(place)
        file.known = len(moves)

    def _lines(self, move: Move) -> Iterable[bytes]:
        came, gone = self.texts.delta(move.before, move.after)
        return (*came, *gone)
