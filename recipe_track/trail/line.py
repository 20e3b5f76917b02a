"""What a commit holds: its governed files, and for each the set of what landed on it."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from recipe_track.trail.edits import NONE, Edit, subjects_of
from recipe_track.trail.moves import Names


@dataclass
class Line:
    """The state at one commit, grown by the next where no other commit stands on it."""

    blobs: dict[str, str] = field(default_factory=dict)
    landed: dict[str, int] = field(default_factory=dict)
    subjects: frozenset[str] = frozenset()  # models, materials … that ever were there
    records: int = 0

    def copy(self) -> "Line":
        """The same state for another line of commits."""
        return Line(dict(self.blobs), dict(self.landed), self.subjects, self.records)

    def write(self, edits: Sequence[Edit]) -> None:
        """Bring the files up to a commit."""
        for path, _before, after in edits:
            if after == NONE:
                self.blobs.pop(path, None)
            else:
                self.blobs[path] = after
        issued = subjects_of(path for path, _, _ in edits)
        if not issued <= self.subjects:
            self.subjects |= issued

    def differing(self, other: "Line") -> set[str]:
        """The files that two states hold otherwise, or that other things landed on."""
        blobs = self.blobs.items() ^ other.blobs.items()
        landed = self.landed.items() ^ other.landed.items()
        return {path for path, _ in blobs} | {path for path, _ in landed}


@dataclass
class Stages:
    """Every text that a file had, by what had landed on it: the base of a merge is what both sides hold."""

    names: Names
    _of: dict[str, dict[int, list[str]]] = field(default_factory=lambda: defaultdict(lambda: {0: [NONE]}))

    def note(self, path: str, landed: int, blob: str) -> None:
        """A text that a file had."""
        known = self._of[self.names.of(path)].setdefault(landed, [])
        if blob not in known:
            known.append(blob)

    def bases(self, path: str, shared: int, within: int) -> list[str]:
        """The texts with exactly what is shared; else with as much as any had, but never `within` itself."""
        known = self._of[self.names.of(path)]  # looked up first: a file has as many texts as it had edits
        if shared in known and shared != within:
            return known[shared]
        parts = [landed for landed in known if not landed & ~shared and landed != within]
        most = max((landed.bit_count() for landed in parts), default=0)
        return [blob for landed in parts if landed.bit_count() == most for blob in known[landed]]
