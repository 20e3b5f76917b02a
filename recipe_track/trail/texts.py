"""Blobs and their texts: what git calls them, which differ by line ends alone, what two edits make."""

import hashlib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from recipe_track.trail.edits import NONE
from recipe_track.trail.joining import joins

Read = Callable[[str], bytes | None]
Merger = Callable[[str, bytes, bytes, bytes], Iterable[bytes]]  # path, base, ours, theirs
Delta = tuple[Counter[bytes], Counter[bytes]]  # lines that came, lines that went
_SHA1_DIGITS = 40


def blob_id(text: bytes, like: str = "") -> str:
    """The id that git gives a text; `like` is an id of the same repository, for the kind of hash."""
    body = b"blob %d\0%s" % (len(text), text)
    if len(like) > _SHA1_DIGITS:
        return hashlib.sha256(body).hexdigest()
    return hashlib.sha1(body, usedforsecurity=False).hexdigest()


def git_joins(path: str, base: bytes, ours: bytes, theirs: bytes) -> Iterator[bytes]:
    """Git's ways of joining, which look at no path."""
    return joins(base, ours, theirs)


@dataclass
class _Merges:
    """What is known of one merge, and what would follow."""

    found: list[str]
    more: Iterator[str]


@dataclass
class Texts:
    """Texts by blob, and what follows from them; everything is worked out once."""

    read: Read
    mergers: Sequence[Merger] = (git_joins,)
    _made: dict[str, bytes] = field(default_factory=dict)
    _plain: dict[str, str] = field(default_factory=dict)
    _merged: dict[tuple[str, str, str], _Merges] = field(default_factory=dict)
    _deltas: dict[tuple[str, str], Delta] = field(default_factory=dict)
    _counted: dict[str, Counter[bytes]] = field(default_factory=dict)

    def text(self, blob: str) -> bytes | None:
        """A text with plain line ends; None where it is not there, or no longer."""
        found = self._made.get(blob)
        found = self.read(blob) if found is None and blob != NONE else found
        return None if found is None else found.replace(b"\r\n", b"\n")

    def plain(self, blob: str) -> str:
        """The blob with plain line ends; the same for two blobs that differ in nothing else."""
        if blob not in self._plain:
            text = self.text(blob)
            self._plain[blob] = blob if text is None else self._keep(text, blob)
        return self._plain[blob]

    def same(self, one: str, other: str) -> bool:
        """Whether two blobs are the same file, line ends aside."""
        return one == other or (NONE not in (one, other) and self.plain(one) == self.plain(other))

    def merged(self, path: str, base: str, ours: str, theirs: str) -> Iterator[str]:
        """The clean merges of two sides; none where a text is missing or a person has to choose.

        A path decides nothing but whether a file can stand there, so what is known does not hang on it.
        """
        key = (base, ours, theirs)
        if key not in self._merged:
            self._merged[key] = _Merges([], self._merge(path, *map(self.plain, key)))
        known = self._merged[key]
        at = 0
        while at < len(known.found) or self._worked_out(known):
            yield known.found[at]
            at += 1

    def _worked_out(self, known: _Merges) -> bool:
        blob = next(known.more, None)
        if blob is not None:
            known.found.append(blob)
        return blob is not None

    def lines(self, blob: str) -> Counter[bytes]:
        """The lines of a text, counted; none of a file that is not there."""
        if blob not in self._counted:
            self._counted[blob] = Counter((self.text(blob) or b"").split(b"\n"))
        return self._counted[blob]

    def delta(self, before: str, after: str) -> Delta:
        """The lines that came and those that went."""
        key = (before, after)
        if key not in self._deltas:
            one, other = self.lines(before), self.lines(after)
            self._deltas[key] = (other - one, one - other)
        return self._deltas[key]

    def _merge(self, path: str, base: str, ours: str, theirs: str) -> Iterator[str]:
        if base in (ours, theirs) or ours == theirs:
            yield theirs if ours == base else ours
            return
        one, two, three = (self.text(blob) for blob in (base, ours, theirs))
        if one is None or two is None or three is None:
            return
        for merger in self.mergers:
            clean = False
            for joined in merger(path, one, two, three):
                clean = True
                yield self._keep(joined, base)
            if clean:
                return

    def _keep(self, text: bytes, like: str) -> str:
        made = blob_id(text, like)
        self._made[made] = text
        return made
